"""The files of a shop: TOML to records, every mistake with its place and what to write instead."""
