"""Commands: arguments in, one call, text or JSON out."""
