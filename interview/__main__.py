"""The program, where it starts: as `brinecall`, and as `python -m interview` where that is not on the path."""

import os
import signal
import sys

# Its tables are small: several threads would share out a product that takes longer to share out than to make.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
    # Until all is imported nothing can say that it was broken off: Ctrl-C ends the process without a word.
    # Before this line it meets Python's own start, which shows a traceback and which no program can change.
    signal.signal(signal.SIGINT, signal.SIG_DFL)

from interview.commands.app import main

if __name__ == "__main__":
    sys.exit(main())
