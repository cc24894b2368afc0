"""`python -m asleft`."""

import sys

from asleft.cli import main

sys.exit(main())
