. "$TOP/tests/cli/expect.sh"
# what the documents say that the program prints, it prints (make documents refreshes them); the README is one for a first visit
cd "$TOP" || exit 1
python3 tests/support/documents.py "$WETRUN" README.md src/cmd/manual/tutorial.md || fail "a document says what the program does not print"
[ "$(wc -l <README.md)" -le 150 ] || fail "README.md has more than 150 lines"
[ -z "$(awk 'length > 100' README.md)" ] || fail "README.md has lines of more than 100 characters"
for page in $(grep -ho "](\([^)#]*\))" README.md | tr -d "()]"); do [ -e "$page" ] || fail "README.md refers to $page"; done
for page in $(grep -ho "](\([^)#]*\))" src/cmd/manual/*.md | tr -d "()]"); do [ -e "src/cmd/manual/$page" ] || fail "a page refers to $page"; done
sections=$(grep -oh 'section "[^"]*"' src/cmd/manual/for-*.md | sed 's/^section //'); [ -n "$sections" ] || fail "no section of the page is named"
echo "$sections" | while read -r section; do grep -qF "$section" src/present/page_readers.c || fail "the page has no section $section"; done || exit 1
