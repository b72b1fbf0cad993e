"""What pieces are like: their sections, cuts, tubes and sheet as solids, and which of them are alike."""
