"""Values as people write them: lengths, angles, forces, formulas, sections."""
