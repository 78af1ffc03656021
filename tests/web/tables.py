"""What the tests of gel tables write."""

HEAD = "family,fraction,mired,cc,stops,stock,note\n"
