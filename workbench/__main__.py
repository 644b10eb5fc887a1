"""Run the command line as ``python -m workbench``."""

from workbench.main import main

if __name__ == "__main__":
    main()
