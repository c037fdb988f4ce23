"""`python -m choosemethod`."""

from choosemethod.program import run

if __name__ == "__main__":
    run()
