#!/usr/bin/env python3
"""`demo` and `test` set this machine up and run; every other command is Django's."""

import sys

if sys.version_info < (3, 11):
    sys.exit("Fitout needs Python 3.11 or newer; this is Python %d.%d." % sys.version_info[:2])

from fitout.bootstrap.commands import main

if __name__ == "__main__":
    sys.exit(main(sys.argv))
