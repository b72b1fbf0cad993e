"""Examples for tables that no starter or sample has: lines to add to one of those, which the tests do."""

from __future__ import annotations

from fabgen.documents.manual.excerpts import Excerpt

EXTRA = {
    "as_built": Excerpt(
        """[as_built]                             # measured on the tacked frame
distances = [["A", "B", "601 mm"], ["A", "D", "515 mm"]]
error = "1 mm\"""",
        "tubes.toml",
    ),
    "material": Excerpt(
        """[[material]]
name = "rack steel"                    # then write material = "rack steel" where a part is of it
like = "S235"
density = 7850
tensile_strength = 410                 # MPa, by its certificate""",
        "plates.toml",
    ),
    "rod_end": Excerpt(
        """[[rod_end]]                            # as you measured yours; stands in place of the table's M12
thread = "M12"
shank = "54 mm"
thread_length = "33 mm"
bore = "12 mm\"""",
        "link-rod.toml",
    ),
    "saw": Excerpt(
        """[saw]
kerf = "2.5 mm"
end_loss = "60 mm"                     # what the clamp must hold of every bar
pair_mitres = true
least_offcut = "200 mm\"""",
        "frame.toml",
    ),
    "consumables": Excerpt(
        """[consumables]
process = "tig"
coats = 3
paint_loss = 0.4""",
        "frame.toml",
    ),
    "movement": Excerpt(
        """[movement]
clear = "12 mm"                        # needed between moving and fixed parts""",
        "curlew-arm.toml",
    ),
}
