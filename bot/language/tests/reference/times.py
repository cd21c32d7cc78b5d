"""Writes times.tsv: what the general-purpose library dateparser (from the Python Package Index, BSD) makes of times in
English, as reports (the past is preferred) with the day before the month. `pip install dateparser && python times.py`.

Columns: the present moment, the expression, the moment that the library gives (local, without offset), and how exactly
it can be compared: `minute` or `day`. Expressions that the library does not understand are left out."""
from datetime import datetime

import dateparser

NOWS = [datetime(2026, 6, 10, 18, 20), datetime(2026, 3, 1, 9, 5), datetime(2027, 1, 2, 0, 40)]
COUNTS = ["2", "3", "5", "10", "two", "three", "twenty"]
MINUTE = [f"{n} minutes ago" for n in COUNTS] + [f"{n} hours ago" for n in COUNTS]
MINUTE += ["an hour ago", "1 hour ago", "45 min ago", "90 minutes ago", "2 hrs ago", "1 hour 20 minutes ago"]
MINUTE += [f"yesterday at {t}" for t in ["8am", "9 pm", "18:30", "07:15", "12pm", "12am", "11:59 pm"]]
MINUTE += [f"{d} at {t}" for d in ["3 March 2026", "March 3, 2026", "2026-02-14", "14 February 2026"] for t in ["8am", "18:30", "9:45 pm"]]
DAY = ["yesterday", "a week ago", "a month ago", "the day before yesterday", "3 weeks ago", "2 months ago"]
DAY += [f"{n} days ago" for n in COUNTS] + [f"{n} weeks ago" for n in COUNTS[:4]]
DAY += [f"on {d}" for d in ["3 March 2026", "March 3, 2026", "3rd March 2026", "3 Mar 2026", "Feb 14 2026", "2026-02-14", "14/02/2026", "14.02.2026", "14-02-2026"]]
DAY += [f"on {d}" for d in ["3 January", "January 3rd", "14 Dec", "December 24", "1st of February"]]
DAY += [f"on {d}" for d in ["Monday", "Tuesday", "Wed", "thursday", "Fri", "Saturday", "sunday"]]


def main():
    lines = []
    for now in NOWS:
        settings = {"RELATIVE_BASE": now, "PREFER_DATES_FROM": "past", "DATE_ORDER": "DMY"}
        for grain, expressions in [("minute", MINUTE), ("day", DAY)]:
            for expression in expressions:
                bare = expression.removeprefix("on ")
                moment = dateparser.parse(bare, languages=["en"], settings=settings)
                if moment is not None and moment <= now:
                    lines.append(f"{now:%Y-%m-%dT%H:%M}\t{expression}\t{moment:%Y-%m-%dT%H:%M}\t{grain}")
    with open("times.tsv", "w", encoding="utf-8") as out:
        out.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
