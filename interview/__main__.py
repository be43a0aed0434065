"""`python -m interview`: the program, where its command is not on the path."""

import sys

from interview.commands.app import main

sys.exit(main())
