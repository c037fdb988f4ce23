"""`python -m choosemethod`."""

from choosemethod.cli import run

if __name__ == "__main__":
    run()
