#!/bin/bash
# Effective draws per CPU second beside JAGS and Stan, on the bundled campaign: the same model and data, and the same answers.
sampler=$B/tests/bench_sampler campaign=datasets/petrel-7
"$sampler" data $campaign "$scratch" 2>/dev/null

progress "sampler: ours"
for ((round = 1; round <= ROUNDS; round++)); do
  "$sampler" ours $campaign 2>/dev/null >"$scratch/ours.$round"
  sed -n 's/^cpu //p' "$scratch/ours.$round" >>"$scratch/ours.cpu"
done
grep -v '^cpu' "$scratch/ours.1" >"$scratch/peer.ours"
median ours.cpu >"$scratch/seconds.ours"

# CODA files in a folder to the same columns
read_coda() { "$sampler" coda "$1/CODAindex.txt" "$1"/CODAchain[1-4].txt >"$scratch/peer.$2"; }

if have jags; then
  progress "sampler: JAGS"
  mkdir "$scratch/jags"
  { echo "model in \"$PWD/$here/peer_jags.bug\""; echo "data in \"$scratch/data.R\""; echo 'compile, nchains(4)'; echo initialize; echo 'update 1000'
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
echo "all. JAGS and Stan are given the same model and the same table (\`peer_jags.bug\`, \`peer_stan.stan\`; Stan with the skew part of every"
echo "error integrated out, its compiling left out of the time), and their posterior means stand beside ours: the largest difference is in"
echo "posterior standard deviations. The ratio is that of the worst parameter of each."
echo
echo "| sampler | CPU s | worst parameter | its effective draws per CPU s | ours is so many times as fast | largest difference of a mean |"
echo "| --- | --- | --- | --- | --- | --- |"
for peer in ours jags stan; do
  [ -e "$scratch/peer.$peer" ] || { echo "| $peer | not installed | | | | |"; continue; }
  seconds=$(cat "$scratch/seconds.$peer")
  awk -v peer=$peer -v seconds="$seconds" -v ours="$(cat "$scratch/seconds.ours")" '
    NR == FNR { mean[$1] = $2; sd[$1] = $3; if (own == "" || $4 / ours < own) own = $4 / ours; next }
    { rate = $4 / seconds; if (worst == "" || rate < worst) { worst = rate; name = $1 }
      off = ($2 - mean[$1]) / sd[$1]; if (off < 0) off = -off; if (off > most) most = off }
    END { printf "| %s | %.2f | %s | %.0f | %.0f | %.2f |\n", peer, seconds, name, worst, own / worst, most }' "$scratch/peer.ours" "$scratch/peer.$peer"
done
