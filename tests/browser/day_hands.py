"""The day's page under the hands of the tests: entries, what it answers, and that beside `cutoff --now` of the same report."""
import json, pathlib, re, subprocess

petrel = pathlib.Path(__file__).resolve().parents[2] / "datasets/petrel-7"


def settled(b, entries, seconds=60):
    """The page has answered for so many entries, cut-offs included."""
    b.wait("return document.documentElement.dataset.settled === arguments[0] && document.documentElement.dataset.dropped === arguments[0]",
           str(entries), seconds=seconds)


def card(b, task):
    """Number of the task's card, by its identifier."""
    return b.run("return JSON.parse(document.getElementById('day-data').textContent).tasks.findIndex(t => t.id === arguments[0])", task)


def press(b, task, what, at):
    b.type(b.find("#time"), at)
    n = card(b, task)
    b.click(b.run("return document.querySelectorAll('.task')[arguments[0]].querySelectorAll('button.go')[arguments[1]]", n, 0 if what == "begin" else 1))


def minutes(text):
    h, m = text.split(":")
    return int(h) * 60 + int(m)


def now_of(wetrun, text):
    """What `cutoff --now` says of the same report."""
    done = subprocess.run([wetrun, "cutoff", str(petrel), "--now", text, "--at", "IN", "--format", "json", "--quiet"], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def check_answer(b, wetrun, report):
    """Beside the program's own update: within three and a half standard deviations over seeds of their difference, and rounding.
    Measured on the day of check_day over 24 seeds of the page (P 0.014, quantiles 0.8, 1.4 and 2.5 min) and seven of the program
    (0.005, 0.5, 1.2 and 1.8). Over 40 seeds of both neither leans: P 0.254 and 0.254, the quantiles within 1 min."""
    head = b.run("return document.querySelector('h1').textContent")
    half, eighty, most = (minutes(t) for t in re.findall(r"\d+:\d\d", head))
    now = now_of(wetrun, report)["now"]
    for shown, key, near in ((half, "0.5", 3.8), (eighty, "0.8", 7), (most, "0.95", 11.3)):
        assert abs(shown - now["quantiles_min"][key]) < near, (head, key, now["quantiles_min"][key])
    shown = int(re.search(r": (\d+) of 100 such days go over", b.run("return document.querySelector('.limits li').textContent")).group(1))
    assert abs(shown - 100 * now["limits"][0]["probability_over"]) < 5.7, (shown, now["limits"][0])


def click_text(b, text):
    b.click(b.run("return Array.from(document.querySelectorAll('button')).find(x => x.textContent.startsWith(arguments[0]) && x.offsetParent)", text))
