"""Wrong answers that were once given, each on a shop of its own: none of them may be given again."""
