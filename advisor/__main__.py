"""`python -m advisor` is the `advisor` command."""

import sys

from .cli import main

sys.exit(main())
