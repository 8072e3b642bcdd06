. "$TOP/tests/cli/expect.sh"
# what help, the manual pages and the README give as an example can be typed: on the demonstration each ends with 0
for data in "$TOP"/datasets/*/; do cp -r "$data" .; done; chmod -R u+w .
python3 - <<'P' || fail "no log under other names"
import csv
other = {"run": "Case", "task": "Activity", "start": "From", "end": "To", "crew": "crew"}
rows = csv.DictReader(open("petrel-7/runs.csv", newline=""))
out = csv.writer(open("shed.csv", "w", newline=""))
out.writerow(other.values())
out.writerows([row[name] for name in other] for row in rows)
P
mkdir build datasets; ln -s "$WETRUN" build/wetrun; ln -s "$WETRUN" wetrun; cp -r petrel-* datasets
PATH=$(pwd):$PATH

wetrun help | sed -n 's/^  \([a-z-]*\)  .*/\1/p' >commands
while read -r command; do
  wetrun "$command" --help | sed -n '/^Example$/{n;s/^  //p;}' >example
  grep -q "^wetrun $command " example || fail "help has no example of $command"
  cat example >>from_help
done <commands
sed -n 's/^\.Dl \(wetrun .*\)/\1/p' "$TOP"/src/cmd/manual/*.[1-9]* >from_manual
# what stands in blocks of the kind console is run by documents.sh, with the status that the document says
awk '/^```/ { inside = !inside } !inside' "$TOP/README.md" | grep -o '`build/wetrun [^`]*`' | tr -d '`' >from_readme
for list in from_help from_manual from_readme; do [ -s $list ] || fail "no example found: $list"; done
awk '!seen[$0]++' from_manual from_readme from_help >examples
while read -r example; do
  case $example in
  "wetrun ready "*) expect 1 sh -c "$example" ;; # its answer: of the demonstration two criteria are not met
  *) expect 0 sh -c "$example" ;;
  esac
done <examples
