#!/usr/bin/env python3
"""The program's commands and charts, as its tables have them. As a program: fails if a test that runs every command leaves one out."""
import os, re, sys

TOP = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))


def listed(file, row):
    with open(os.path.join(TOP, file)) as f:
        found = re.findall(row, f.read())
    assert found, f"no rows found in {file}"
    return found


COMMANDS = listed("src/cmd/table.c", r'\] = \{\.name = "([a-z-]+)"')
RESULTS = listed("src/cmd/table.c", r'\] = \{\.name = "([a-z-]+)",[^{}]*RESULT\(')  # those that show a result of one campaign
CHARTS = listed("include/wetrun/present/chart.h", r'ROW\(WR_CHART_[A-Z_]+, "([a-z-]+)"')


def left_out(asked, elsewhere):
    """What none of the command lines asks for."""
    said = {words[0] for words in asked} | elsewhere
    drawn = {words[1] for words in asked if words[0] == "chart"}
    return [f"the command {c}" for c in COMMANDS if c not in said] + [f"the chart {c}" for c in CHARTS if drawn and c not in drawn]


def main():
    for folder in ("tests/faults", "tests/cli/support"):
        sys.path.insert(0, os.path.join(TOP, folder))
    import campaigns, edges, many_campaigns
    every = {"tests/faults/campaigns.py": (campaigns.COMMANDS.values(), set()),
             "tests/faults/edges.py": (edges.commands("chain").values(), {"start"}),  # of no campaign
             # one campaign's answers as text, CSV and JSON
             "tests/cli/support/many_campaigns.py": (list(many_campaigns.Campaign(3).commands()), {"start", "daysheet", "series", "chart", "report"})}
    lacking = [f"{file} does not run {what}" for file, (asked, elsewhere) in every.items() for what in left_out(asked, elsewhere)]
    print("\n".join(lacking), end="\n" if lacking else "", file=sys.stderr)
    sys.exit(bool(lacking))


if __name__ == "__main__":
    main()
