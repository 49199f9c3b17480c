"""`python -m ullage`."""

import sys

from ullage import main

if __name__ == "__main__":
    sys.exit(main())
