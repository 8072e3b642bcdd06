. "$TOP/tests/cli/expect.sh"
campaign
# the data block of a page: one line of ASCII that cannot end its element
block() {
  python3 - "$1" <<'P' || fail "the data block of $1"
import json, re, sys
page = open(sys.argv[1], encoding="utf-8").read()
found = re.findall(r'<script type="application/json" id="day-data">(.*?)</script>', page, re.S)
assert len(found) == 1 and found[0].isascii() and "<" not in found[0] and ">" not in found[0], "not as it must be"
json.dump(json.loads(found[0]), open("out", "w"))
P
}
expect 0 "$WETRUN" daysheet campaign --out day.html; empty out; in_err "Decision support only"
block day.html
json "d['format'] == 'wetrun day sheet 1' and len(d['tasks']) == 28 and d['rehearsals'] == 9 and d['lanes'] == ['EV1', 'EV2']"
json "d['forecast']['draws'] == 2000 and len(d['forecast']['source']) == 28 and d['limits'][0]['confidence'] == 0.9 and d['limits'][2]['from'] is not None"
json "len(d['forecast']['pool']['data']) == -(-2 * 2000 * d['forecast']['pool']['rows'] // 3) * 4"
[ "$(wc -c < day.html)" -lt 1500000 ] || fail "the page is larger than 1.5 MB"
# asks for nothing from anywhere: what runs and what it looks like is allowed by hash alone
grep -q "default-src 'none'" day.html || fail "no content policy"
! grep -qE 'src="|href="[^#]|url\(|@import' day.html || fail "the page points somewhere"
expect 0 "$WETRUN" daysheet campaign --threads 1 --out one.html; cmp -s day.html one.html || fail "threads change the page"
# for the excursion what a kind carries over is apart from what the day can teach
expect 0 "$WETRUN" daysheet campaign --for excursion --out excursion.html; block excursion.html
json "d['forecast']['shift']['rows'] == 6 and any(s['shift'] >= 0 and s['seen_shift'] != 0 for s in d['forecast']['source'])"
# without a forecast: no number of the model, no caution about one
expect 0 "$WETRUN" daysheet campaign --log-only --out log.html; block log.html; json "d['forecast'] is None and len(d['tasks']) == 28"
mkdir plan; cp campaign/plan.csv plan
expect 0 "$WETRUN" daysheet plan --out plan.html; in_err "nothing is rehearsed yet"; block plan.html; json "d['forecast'] is None"
# texts stay texts
mkdir bad; printf 'task,title,crew,planned\n"</script><b>","<!--\342\200\250",EV1,10\n' > bad/plan.csv
expect 0 "$WETRUN" daysheet bad --out bad.html; block bad.html; json "d['tasks'][0]['id'] == '</script><b>' and d['tasks'][0]['title'] == '<!--\u2028'"
# names become letters; nothing is written where it cannot be
expect 0 "$WETRUN" daysheet campaign --anonymous --out anonymous.html; block anonymous.html; json "d['people'] and all(len(p) == 1 for p in d['people'])"
expect 4 "$WETRUN" daysheet campaign --out none/day.html
expect 3 "$WETRUN" daysheet nowhere
# the page is the page from its first byte, and before anything is entered it says what the commands say
expect 0 "$WETRUN" daysheet --out day.html "$TOP/datasets/petrel-7"; in_err "Decision support only"
[ "$(head -n 1 day.html)" = '<!DOCTYPE html>' ] || fail "something stands before the page"
expect 0 "$WETRUN" forecast -f json "$TOP/datasets/petrel-7"
python3 - <<'P' || fail "the day page states another forecast"
import json, re
d = json.load(open('out'))
page = json.loads(re.search(r'<script[^>]*id="day-data"[^>]*>(.*?)</script>', open('day.html').read(), re.S).group(1))['stated']
assert [l['probability_over'] for l in d['limits']] == [l['over'] for l in page['limits']]
assert [l['interval'] for l in d['limits']] == [[l['lo'], l['hi']] for l in page['limits']]
assert d['any_limit_over'] == page['any_over']
assert [d['finish']['quantiles_min'][k] for k in d['finish']['quantiles_min']] == page['finish_min']
P
