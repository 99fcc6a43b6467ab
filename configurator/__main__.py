"""Run the command with `python -m configurator`."""

from configurator.cli.main import main

if __name__ == "__main__":
    main()
