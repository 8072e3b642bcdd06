# Makes a campaign of `runs` rehearsals of the reference network in the folder `out` (which exists): plan.csv with planned times
# in place of the known distributions, limits.csv, and runs.csv with four steps a task, a run effect of 0.08 on log minutes, learning
# of 4 % with each of the first three doublings, two crews of two. Invented, the same on every machine with this awk.
#     awk -F, -v runs=60 -v out=FOLDER -f many_runs.awk datasets/reference-40/plan.csv
function normal() { return sqrt(-2 * log(1 - rand())) * cos(6.283185307179586 * rand()) }
function clock(minutes) { minutes += 540; return sprintf("%02d:%02d:%02d", minutes / 60 % 24, minutes % 60, minutes * 60 % 60) }
function later(a, b) { return a > b ? a : b }

BEGIN { srand(7); print "task,title,crew,after,planned" >(out "/plan.csv") }
FNR > 1 {
  n++; task[n] = $1; crew[n] = $3; before[n] = $4; median[n] = $5; sdlog[n] = $6
  print $1 "," $2 "," $3 "," $4 "," $5 >(out "/plan.csv")
}
END {
  print "limit,crew,from,to,minutes,confidence\nexcursion,all,,,370,0.9" >(out "/limits.csv")
  print "run,task,step,performer,start,end,outcome" >(out "/runs.csv")
  for (r = 1; r <= runs; r++) {
    day = 0.08 * normal() - 0.06 * log(r < 8 ? r : 8) # learning ends somewhere
    free["EV1"] = free["EV2"] = 0
    for (k = 1; k <= n; k++) {
      lanes = split(crew[k], lane, "+"); at = 0
      for (l = 1; l <= lanes; l++) at = later(at, free[lane[l]])
      if (before[k] != "") { m = split(before[k], p, "[ ;]+"); for (i = 1; i <= m; i++) at = later(at, ended[p[i]]) }
      who = (r % 2 ? "KV" : "TS") (lanes > 1 ? (r % 2 ? "+OM" : "+RA") : "")
      if (crew[k] == "EV2") who = r % 2 ? "OM" : "RA"
      step = median[k] * exp(sdlog[k] * normal() + day) / 4
      for (i = 1; i <= 4; i++) {
        printf "R%04d,%s,%d,%s,%s,%s,done\n", r, task[k], i, who, clock(at), clock(at + step) >(out "/runs.csv")
        at += step
      }
      ended[task[k]] = at
      for (l = 1; l <= lanes; l++) free[lane[l]] = at
    }
  }
}
