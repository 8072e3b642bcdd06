# What a picture's file is called is what is written, the page's slider says what the commands say, and folders stay unnamed.
. "$TOP/tests/cli/expect.sh"
cp -r "$TOP/datasets/petrel-7" campaign

# a kind that neither name nor option says, or that they disagree about, is no picture
expect 2 "$WETRUN" chart variance --out x.gif campaign; in_err "end it in .png, .svg or .pdf"; [ ! -e x.gif ] || fail "a picture of no kind"
expect 2 "$WETRUN" chart variance --out x.png --picture pdf campaign; in_err "do not agree"
expect 2 "$WETRUN" chart finish --now OUT@0:00 --out x.png campaign; in_err "only the chart 'cutoff'"
expect 2 "$WETRUN" report --now OUT@0:00-0:19 --out page campaign; in_err "no option '--now', but it is one of wetrun cutoff, chart"
[ ! -e page ] || fail "a page about two days"

if command -v gnuplot >/dev/null; then
  for kind in png svg pdf; do expect 0 "$WETRUN" chart variance --trials 2000 --out "x.$kind" campaign; done
  head -c 8 x.png | grep -q PNG || fail "x.png is no PNG"
  grep -q '<svg' x.svg || fail "x.svg is no SVG"
  head -c 5 x.pdf | grep -q '%PDF-' || fail "x.pdf is no PDF"
  expect 0 "$WETRUN" chart variance --trials 2000 --out y.PDF campaign
  cmp x.pdf y.PDF || fail "a PDF holds what another run does not"
fi

# a picture says of itself what the commands say before their numbers, and so does standard error
if command -v gnuplot >/dev/null; then
  sketch=$TOP/datasets/petrel-8-sketch
  for chart in finish limit pad cutoff lanes; do
    expect 0 "$WETRUN" chart $chart --trials 2000 --out said.svg "$sketch"
    in_err "So there are two answers"; in_err "Caution. Decision support only"; empty out
    grep -q 'Forecast of the next rehearsal, at pool pace.*if judged 20 % short [0-9]* of 100 go over' said.svg ||
      grep -q 'if judged 20 % short [0-9]* of 100 go over.*Forecast of the next rehearsal, at pool pace' said.svg || fail "$chart: one answer of two"
  done
  expect 0 "$WETRUN" chart limit --trials 2000 --for excursion --out said.svg campaign; in_err "Pool times were scaled"
  grep -q 'Forecast of the excursion' said.svg || fail "the chart does not say of what it is"
  expect 0 "$WETRUN" chart backtest --trials 2000 --out said.svg campaign; not_in said.svg "Forecast of the"
  expect 0 "$WETRUN" chart cutoff --trials 2000 --outside-hold --out said.svg campaign
  grep -q 'For a delay from outside alone, never for a slow day' said.svg || fail "a card of holds reads like any other"
  expect 0 "$WETRUN" chart cutoff --trials 2000 --now SHADE@4:05 --out said.svg campaign
  for words in 'whether “bay A without power” is kept cannot be said' 'Card of 4:05' '1:55: nothing on its clock is still to begin'; do
    grep -q "$words" said.svg || fail "the card of 4:05 lacks: $words"
  done

  # the pictures beside the scripts are what is drawn today: else run make plots
  mkdir today; expect 0 "$WETRUN" report --out whole campaign; cp whole/charts/*.svg today
  expect 0 "$WETRUN" chart series --out today/series.svg "$TOP/datasets/petrel-series"
  sh "$TOP/tests/support/chart_words.sh" today | diff "$TOP/plots/words.txt" - || fail "plots/ is stale: make plots"

  # a sheet that is printed alone has the second answer too
  expect 0 "$WETRUN" report --trials 2000 --out sheets "$sketch"
  [ "$(grep -c 'So there are two answers, and the numbers below' sheets/report.html)" -ge 2 ] || fail "a sheet with one answer of two"
fi

# the slider's words at a limit are the command's numbers there; the card's times those of cutoff
expect 0 "$WETRUN" report --trials 2000 --out page campaign
python3 - page/report.html > tried.txt <<'P' || fail "the page's data cannot be read"
import json, re, sys
data = json.loads(re.search(r'id="try-data">(.*?)</script>', open(sys.argv[1]).read(), re.S).group(1))
for i in (10, 40, len(data["limit"]) - 10):
    print("P", data["limit"][i], data["say"][data["given"][1]][i].split(" of 100")[0])
for a, at in enumerate(data["at"]):
    print("C", data["limit"][at], data["card"][a * len(data["wish"]) + data["given"][1]]["5"][0])
P
while read -r what limit said; do
  if [ "$what" = P ]; then
    expect 0 "$WETRUN" forecast --trials 2000 --limit "$limit" --format json campaign
    json "int(100 * d['overrun']['probability'] + 0.5) == int('$said')"
  else
    expect 0 "$WETRUN" cutoff --trials 2000 --limit "$limit" --format json campaign
    json "'%d:%02d' % divmod(int(min(l['tasks'][5]['latest_start_min'] for l in d['limits'] if not l['is_clock'] and l['tasks'][5]['reason'] == 'found') + 1e-5), 60) == '$said'"
  fi
done < tried.txt

# of work judged beforehand too: the worse answer of a limit tried, in the slider's words and above its card, and the limit that it takes
cp -r "$TOP/datasets/petrel-8-sketch" judged
expect 0 "$WETRUN" report --trials 2000 --out judged-page judged
expect 0 "$WETRUN" report campaign --trials 200000 --outside-hold --out outside-page; tr -s '\n ' ' ' <outside-page/report.html >line
for said in 'it must begin by [0-9:]*, for a delay from outside alone, with' \
  'Checkpoints; begin by, for a delay from outside alone: for' 'with --outside-hold it is for a delay from outside alone'; do
  grep -q "$said" line || fail "the page does not say of what its later times are: $said"
done
grep -q 'begins exactly at its bold time' line && fail "imposed starts are not the days on which it begins there"
grep -A2 '>Do next</h2>' judged-page/report.html | grep -q 'goes by the first of two answers, as judged\. If judged 20 % short, of 100 rehearsals go over: .* it then takes a limit of' || fail "advice by the milder answer, and not said so"
grep -q '<p id="card-second">' judged-page/report.html || fail "the second answer cannot be taken from above the card"
python3 - judged-page/report.html > tried.txt <<'P' || fail "the page says one answer of two of a limit that is tried"
import json, re, sys
data = json.loads(re.search(r'id="try-data">(.*?)</script>', open(sys.argv[1]).read(), re.S).group(1))
n, worse = len(data["wish"]), re.compile(r"if judged 20 % short (\d+|fewer than 1|more than 99) of 100 go(?:es)? over")
assert all(worse.search(say) for row in data["say"] for say in row)
for i, (head, verdicts, reach, second, *_) in enumerate(data["about"]):
    at = data["at"][i // n]
    assert worse.search(second)[1] == worse.search(data["say"][i % n][at])[1] and "is left out while another limit is tried" in second, second
    if i % n == data["given"][1]:
        takes = re.search(r"that takes a limit of (\d+:\d\d)", reach)
        print(data["limit"][at], takes[1] if takes else "-", worse.search(second)[1])
P
[ "$(wc -l < tried.txt)" -ge 2 ] || fail "no limit is tried"
while read -r limit takes worse; do
  expect 0 "$WETRUN" forecast --trials 2000 --limit "$limit" --format json judged
  json "'$worse' in ('fewer than 1', 'more than 99') or int(100 * d['limits'][0]['second_probability_over'] + 0.5) == int('$worse')"
  expect 0 "$WETRUN" cutoff --trials 2000 --limit "$limit" judged
  [ "$takes" = - ] || tr '\n' ' ' < out | grep -q "takes a limit of $takes," || fail "$limit takes $takes on the page, not so in cutoff"
done < tried.txt

# every link of the page leads somewhere; a chart's row leads to its table's row, and that one back
python3 - page/report.html <<'P' || fail "a link leads nowhere"
import re, sys
page = open(sys.argv[1]).read()
ids = set(re.findall(r'id="([^"]+)"', page))
links = re.findall(r'<a [^>]*href="#([^"]+)"', page)
hits = re.findall(r'<a class="hit" href="#([^"]+)"', page)
svg = "<svg" in page
sys.exit(any(l not in ids for l in links) or (svg and (len(hits) < 3 * 28 or "fig-tasks" not in links)))
P

# one price of a further rehearsal
expect 0 "$WETRUN" runs-needed --format json campaign; cp out needed.json
[ -e whole/report.json ] || expect 0 "$WETRUN" report --out whole campaign
python3 - <<'P' || fail "page and command price a rehearsal differently"
import json, sys
page, command = json.load(open("whole/report.json"))["runs-needed"], json.load(open("needed.json"))
sys.exit([r["clear_inside"] for r in page["further"]] != [r["clear_inside"] for r in command["further"]])
P

# with --anonymous no folder is named
expect 0 "$WETRUN" report --trials 2000 --anonymous --plan "$PWD/judged/plan.csv" --out hidden "$PWD/judged"
! grep -qF "$PWD" hidden/report.html hidden/report.json err || fail "a folder is named"
