. "$TOP/tests/cli/expect.sh"
# A gnuplot that answers in every wrong way: no half picture, and the page without it.
mkdir small
printf 'run,task,crew,minutes\nR1,A,EV1,11\nR1,B,EV2,24\nR2,A,EV1,12\nR2,B,EV2,22\nR3,A,EV1,13\nR3,B,EV2,27\n' >small/runs.csv
printf 'limit,crew,minutes,confidence\nexcursion,all,30,0.9\n' >small/limits.csv
python3 "$TOP/tests/cli/support/odd_gnuplot.py" "$WETRUN" small || fail "an odd gnuplot"
