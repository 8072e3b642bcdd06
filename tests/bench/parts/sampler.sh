#!/bin/bash
# Effective draws per CPU second beside JAGS and Stan, on the bundled campaign: the same model and data, and the same answers.
sampler=$B/tests/bench_sampler campaign=datasets/petrel-7
"$sampler" data $campaign "$scratch" 2>/dev/null

progress "sampler: ours"
for ((round = 1; round <= ROUNDS; round++)); do
  "$sampler" ours $campaign "$round" 2>/dev/null >"$scratch/ours.$round"
  sed -n 's/^cpu //p' "$scratch/ours.$round" >>"$scratch/ours.cpu"
done
# a seed's effective draws are themselves uncertain by a tenth or two: means over the seeds
cat "$scratch"/ours.[0-9]* | awk -v n="$ROUNDS" '$1 != "cpu" { if (!($1 in mean)) order[++k] = $1; mean[$1] += $2 / n; sd[$1] += $3 / n; ess[$1] += $4 / n }
  END { for (i = 1; i <= k; i++) { p = order[i]; print p, mean[p], sd[p], ess[p], n * ess[p] } }' >"$scratch/peer.ours"
median ours.cpu >"$scratch/seconds.ours"

# CODA files in a folder to the same columns
read_coda() { "$sampler" coda "$1/CODAindex.txt" "$1"/CODAchain[1-4].txt >"$scratch/peer.$2"; }

if have jags; then
  progress "sampler: JAGS"
  mkdir "$scratch/jags"
  { echo "model in \"$PWD/$here/peer_jags.bug\""; echo "data in \"$scratch/data.R\""; echo 'compile, nchains(4)'
    for c in 1 2 3 4; do # else the clock seeds it
      printf '".RNG.name" <- "base::Mersenne-Twister"\n".RNG.seed" <- %d\n' $c >"$scratch/jags/start$c"; echo "parameters in \"start$c\", chain($c)"
    done; echo initialize; echo 'update 1000'
    for v in tau kappa gamma rho s0 d omega_s a c omega mean_mu mean_sigma; do echo "monitor $v, thin(10)"; done
    echo 'update 10000'; echo 'coda *'; } >"$scratch/jags/commands"
  (cd "$scratch/jags"; TIMEFORMAT='%U'; { time jags commands >/dev/null 2>&1; } 2>"$scratch/seconds.jags")
  read_coda "$scratch/jags" jags
fi
if have Rscript && Rscript -e 'library(rstan)' >/dev/null 2>&1; then
  progress "sampler: Stan (compiles for a minute)"
  mkdir "$scratch/stan"
  Rscript $here/peer_stan.R "$scratch/data.R" $here/peer_stan.stan "$scratch/stan" >/dev/null 2>&1
  cp "$scratch/stan/seconds" "$scratch/seconds.stan"
  read_coda "$scratch/stan" stan
fi

echo
echo "## The sampler"
echo
echo "The bundled campaign's fit: four chains; bulk effective draws (Vehtari et al. 2021) per CPU second, burn-in included, by one function for"
echo "all, ours the mean of $ROUNDS seeds. JAGS and Stan are given the same model and the same table (\`peer_jags.bug\`, \`peer_stan.stan\`; Stan with the skew part of every"
echo "error integrated out, its compiling left out of the time), and their posterior means stand beside ours: the largest difference is in"
echo "posterior standard deviations, and in Monte Carlo errors of the two (of twelve parameters the largest is about 2 by chance). The ratio is that of the worst parameter of each."
echo
echo "| sampler | CPU s | worst parameter | its effective draws per CPU s | ours is so many times as fast | largest difference of a mean | in errors, of |"
echo "| --- | --- | --- | --- | --- | --- | --- |"
for peer in ours jags stan; do
  [ -e "$scratch/peer.$peer" ] || { echo "| $peer | not installed: not compared | | | | | |"; continue; }
  seconds=$(cat "$scratch/seconds.$peer")
  awk -v peer=$peer -v seconds="$seconds" -v ours="$(cat "$scratch/seconds.ours")" '
    NR == FNR { mean[$1] = $2; sd[$1] = $3; all[$1] = $5; if (own == "" || $4 / ours < own) own = $4 / ours; next }
    { rate = $4 / seconds; if (worst == "" || rate < worst) { worst = rate; name = $1 }
      if (peer != "ours" && $5 > apart) apart = $5
      off = ($2 - mean[$1]) / sd[$1]; if (off < 0) off = -off; if (off > most) most = off
      errors = off / sqrt(1 / all[$1] + 1 / $4); if (peer != "ours" && errors > far) { far = errors; where = $1 } }
    END { if (apart > 1.05) name = name ", its chains disagree: R-hat " apart
          printf "| %s | %.3f | %s | %.0f | %.0f | %s |\n", peer, seconds, name, worst, own / worst,
          peer == "ours" ? " |" : sprintf("%.3f | %.1f, %s", most, far, where) }' "$scratch/peer.ours" "$scratch/peer.$peer"
done
