"""A whole day of the demonstration typed into the page, beside `cutoff --now` on the way, to its end and its step log.
Usage: check_whole_day.py WETRUN FOLDER. With EVERY=N in the environment it looks after every Nth moment, not at three of them."""
import json, os, pathlib, subprocess, sys
from browser import Browser
from day_hands import check_answer, click_text, petrel, press, settled
from page_checks import check_quiet

wetrun, folder = sys.argv[1], pathlib.Path(sys.argv[2]).resolve()

# An invented day, in elapsed minutes.
DAY = {"OUT": (0, 21), "A-REACH": (21, 36), "CAM-REACH": (21, 41), "A-UNPLUG": (36, 50), "CAM-OFF": (41, 66), "A-FREE": (50, 77), "A-LIFT": (77, 88),
       "A-STOW": (88, 107), "A-SEAT": (88, 113), "CAM-ON": (107, 139), "A-PLUG": (113, 127), "B-UNPLUG": (127, 145), "CAM-AIM": (139, 154),
       "B-FREE": (145, 169), "SLOT": (154, 167), "B-LIFT": (169, 184), "B-SEAT": (184, 210), "B-STOW": (184, 201), "DRUM-LOCK": (201, 214),
       "B-PLUG": (210, 224), "BRIDGE": (224, 242), "SHADE": (242, 284), "BEAM": (284, 297), "DRUM-FREE": (284, 299), "HINGE": (299, 331),
       "STAGE-CLAMPS": (299, 315), "STAGE-REEL": (315, 333), "IN": (333, 368)}
MOMENTS = sorted({at for times in DAY.values() for at in times})
LOOK_AT = MOMENTS[1:-1:int(os.environ["EVERY"])] if os.environ.get("EVERY") else (113, 214, 315)  # after the last entry of these moments


def hmm(minutes):
    return f"{minutes // 60}:{minutes % 60:02d}"


def report_at(now):
    items = []
    for task, (begin, end) in DAY.items():
        if begin <= now:
            items.append(f"{task}@{hmm(begin)}" + (f"-{hmm(end)}" if end <= now else ""))
    return ",".join(items)


def main():
    page = folder / "whole-day.html"
    subprocess.run([wetrun, "daysheet", str(petrel), "--out", str(page), "--quiet"], check=True, capture_output=True)
    moments = sorted((at, what == "begin", task, what) for task, times in DAY.items() for what, at in zip(("begin", "end"), times))
    with Browser() as b:
        b.size(1024, 900)
        b.open(page)
        settled(b, 0)
        for n, (at, _, task, what) in enumerate(moments, 1):
            press(b, task, what, hmm(at))
            if at in LOOK_AT and (n == len(moments) or moments[n][0] > at):
                settled(b, n)
                check_answer(b, wetrun, report_at(at))
        settled(b, len(moments))
        assert b.run("return document.querySelector('h1').textContent") == "All is done at 6:08."
        assert b.run("return Array.from(document.querySelectorAll('.limits li')).map(li => li.textContent.split(': ').pop())") == ["kept.", "kept.", "kept."]
        assert b.run("return document.querySelectorAll('.task[data-state=done]').length") == len(DAY)
        click_text(b, "Step log")
        runs = b.downloaded("petrel-7-runs.csv")
        whole = folder / "whole"
        whole.mkdir(exist_ok=True)
        (whole / "runs.csv").write_bytes(runs.read_bytes())
        (whole / "plan.csv").write_bytes((petrel / "plan.csv").read_bytes())
        check_quiet(b)
    done = subprocess.run([wetrun, "check", str(whole), "--format", "json"], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    run = found["runs"][0]
    assert found["rows"] == {"read": 28, "accepted": 28, "rejected": 0, "duplicate": 0} and run["complete"] and run["kept_to_plan"], found
    assert run["finish_min"] == run["replay_min"] == 368, run
    assert found["findings"] == [], found["findings"]
    print(f"day page: a whole day of {len(moments)} entries, beside `cutoff --now` at {', '.join(hmm(m) for m in LOOK_AT)}; its step log has no finding")


main()
