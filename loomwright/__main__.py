"""`python -m loomwright`."""

from loomwright.cli import main

if __name__ == "__main__":
    main()
