#!/usr/bin/env python3
"""The program's commands and charts, as its tables have them. As a program: fails if a sweep cannot run a command without being told how."""
import os, re, sys

TOP = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))


def listed(file, row):
    with open(os.path.join(TOP, file)) as f:
        found = re.findall(row, f.read())
    assert found, f"no rows found in {file}"
    return found


COMMANDS = listed("include/wetrun/cmd/commands.h", r'ROW\([A-Z_]+, wr_cmd_.* \.name = "([a-z-]+)"')
RESULTS = listed("include/wetrun/cmd/commands.h", r'ROW\([A-Z_]+, wr_cmd_result,.* \.name = "([a-z-]+)"')  # those that show a result of one campaign
TAKE_A_WORD = listed("include/wetrun/cmd/commands.h", r'ROW\([A-Z_]+, wr_cmd_.* \.name = "([a-z-]+)", \.names = ')  # before the campaign
CHARTS = listed("include/wetrun/present/chart.h", r'ROW\(WR_CHART_[A-Z_]+, "([a-z-]+)"')


def the_rest(asked, elsewhere=()):
    """The commands that none of the command lines runs, nor anything else. What stands before the campaign only a person can say."""
    said = {words[0] for words in asked} | set(elsewhere)
    rest = [c for c in COMMANDS if c not in said]
    untold = [c for c in rest if c in TAKE_A_WORD]
    if untold:
        raise LookupError(f"the sweeps have no word for the command {untold[0]}")
    return rest


def main():
    for folder in ("tests/faults", "tests/cli/support"):
        sys.path.insert(0, os.path.join(TOP, folder))
    lacking = []
    for name, lines in (("campaigns", lambda m: m.COMMANDS), ("edges", lambda m: m.commands("chain")),
                        ("many_campaigns", lambda m: m.Campaign(3).commands())):
        try:
            lines(__import__(name))
        except LookupError as e:
            lacking.append(f"{name}.py: {e}")
    print("\n".join(lacking), end="\n" if lacking else "", file=sys.stderr)
    sys.exit(bool(lacking))


if __name__ == "__main__":
    main()
