"""The per-step table of the record store by pandas, from the same events, for comparing speed and figures by hand.

    python3 per-step-table.py postgresql://user@host:port/database TABLE.json

TABLE.json is what the store says (`stepTable`); needs pandas and psycopg2, which are no part of the project.
"""
import json
import sys
import time

import pandas
import psycopg2

connection = psycopg2.connect(sys.argv[1])
begun = time.perf_counter()
with connection.cursor() as cursor:
    cursor.execute(
        "SELECT e.job_id, e.mono_ms, e.event, e.step, j.job_type FROM stepcaller.event e"
        " JOIN stepcaller.job j ON j.id = e.job_id"
        " WHERE e.event IN ('step.shown', 'step.confirmed', 'help.given') AND j.outcome = 'completed'"
        " ORDER BY e.job_id, e.seq"
    )
    events = pandas.DataFrame(cursor.fetchall(), columns=["job", "ms", "event", "step", "job_type"])
read = time.perf_counter()
for name in ("event", "step", "job_type"):
    events[name] = events[name].astype("category")
prepared = time.perf_counter()

# In these logs every step is shown once and confirmed once, without pauses.
shown = events[events.event == "step.shown"].set_index(["job", "step"])
done = events[events.event == "step.confirmed"].set_index(["job", "step"])
times = pandas.DataFrame({"ms": done.ms - shown.ms, "job_type": shown.job_type}).reset_index()
groups = times.groupby(["job_type", "step"], observed=True).ms
table = groups.agg(["count", "mean", "median", "sum"])
table["p90"] = groups.quantile(0.9)
table["share"] = table["sum"] / table["sum"].groupby(level=0, observed=True).transform("sum")
ended = time.perf_counter()
print(
    f"pandas: {len(events)} events read {read - begun:.2f} s, as categories {prepared - read:.2f} s,"
    f" table of {len(table)} steps {ended - prepared:.2f} s"
)
worst = 0.0
for row in json.load(open(sys.argv[2])):
    ours = table.loc[(row["job_type"], row["step"])]
    for mine, theirs in (
        (row["n"], ours["count"]),
        (row["mean_ms"], ours["mean"]),
        (row["median_ms"], ours["median"]),
        (row["p90_ms"], ours["p90"]),
        (row["share"], ours["share"]),
    ):
        worst = max(worst, abs(mine - theirs) / max(1e-12, abs(theirs)))
print(f"largest relative difference to the store's table: {worst:.2e}")
