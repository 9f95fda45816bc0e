"""`python -m fieldtui` is the same as the `fieldtui` command."""

from fieldtui.cli.main import main

if __name__ == "__main__":
    raise SystemExit(main())
