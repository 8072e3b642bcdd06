. "$TOP/tests/cli/expect.sh"
# Texts of a log and a plan that would be code if anything took them for it.
esc=$(printf '\033')
cat > plan.csv <<EOF
task,title,crew,after,planned
A,"\`touch owned\` \$(touch owned) @x !touch owned ""q"" 'q'",EV1,,10
B,"<script>alert(1)</script> <img src=x onerror=y> &amp; ${esc}[31mred${esc}]0;owned",EV2,,12
C,"END_OF_ROWS
system 'touch owned'",EV1+EV2,,8
D,"=cmd|'/c calc'!A1",EV1,,9
EOF
printf 'E,"\377\376 not utf-8 \302",EV2,,9\n' >> plan.csv
echo 'run,task,start,end,crew,performer' > runs.csv
for r in 1 2 3 4 5; do
  printf '<b>R%d</b>,A,09:00,09:1%d,EV1,"x<y"\n' $r $r >> runs.csv
  printf '<b>R%d</b>,B,09:00,09:1%d,EV2,"`id`"\n' $r $((r + 2)) >> runs.csv
  printf '<b>R%d</b>,C,09:20,09:3%d,EV1+EV2,"x<y+`id`"\n' $r $r >> runs.csv
  printf '<b>R%d</b>,D,09:40,09:5%d,EV1,"x<y"\n' $r $r >> runs.csv
  printf '<b>R%d</b>,E,09:40,09:5%d,EV2,"`id`"\n' $r $((r - 1)) >> runs.csv
done
clean() {
  [ ! -e owned ] && [ ! -e campaign/owned ] || fail "$1 ran text from a file"
  for f in out err; do ! grep -q "$esc" $f || fail "$1: an escape sequence in $f"; done
}
for c in check fit forecast pad cutoff compare logsheet backtest; do
  for format in table csv json; do
    expect 0 "$WETRUN" $c --trials 2000 --format $format --limit 1:10 --confidence 0.9 .; clean "$c $format"
    python3 -c "open('out', encoding='utf-8').read()" || fail "$c $format: not UTF-8"
  done
done
expect 0 "$WETRUN" compare --by performer .; clean "compare --by"
expect 0 "$WETRUN" debrief '<b>R2</b>' --trials 2000 --limit 1:10 .; clean debrief
expect 0 "$WETRUN" report --trials 2000 --limit 1:10 --confidence 0.9 --out rep .; clean report
not_in rep/report.html "<script>alert"; not_in rep/report.html "<img src=x"; not_in rep/report.html "<b>R1"
! grep -q "$esc" rep/report.html || fail "escape sequence in the page"
python3 - <<'P' || fail "the page is not what it should be"
import re, sys
s = open("rep/report.html", encoding="utf-8").read()
sys.exit(bool(re.search(r"(src|href)=[\"']?(https?:)?//", s)) or s.count("<script") != 2)
P
for svg in rep/charts/*.svg; do xmllint --noout "$svg" || fail "$svg is not well-formed"; done
# a spreadsheet that opens the CSV gets no formula
expect 0 "$WETRUN" pad --trials 2000 --confidence 0.9 --format csv .
! grep -Eq '(^|,)"?=cmd' out || fail "a formula in the CSV"
