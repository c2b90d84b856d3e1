"""``python -m hvacr_lab`` is the command ``hvacr-lab``."""

from hvacr_lab.cli import main

if __name__ == "__main__":
    main()
