"""``python -m pixel2make``: the same as the command."""

from pixel2make.cli import main

if __name__ == "__main__":
    main()
