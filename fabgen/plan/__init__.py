"""The cut plan: bars, sheets and what to buy."""
