"""Pure geometry: outlines, frames, folds, developments and contact of solids."""
