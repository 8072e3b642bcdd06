# Two RESULTS.md side by side: rows of a section's table that both have, told by their first cell, in the column of that heading.
#     awk -F'|' -v section=Growth -v column="check, CPU s" -f before_after.awk BEFORE AFTER
function trim(s) { gsub(/^ +| +$/, "", s); return s }
FNR == 1 { file++; here = at = 0 }
/^## / { here = index($0, "## " section) == 1 }
!/^\|/ { at = 0; next } # a table is over
at == 0 { at = -1; for (i = 2; i < NF; i++) if (trim($i) == column) at = i; next } # its headings
!here || at < 0 || /^\| ---/ { next }
{ name = trim($2); value = trim($at) }
file == 1 { before[name] = value; next }
name in before && value ~ /^[0-9]/ && before[name] ~ /^[0-9]/ { # what took no time before has no ratio
    printf "| %s: %s | %s | %s | %s | %s |\n", section, name, column, before[name], value, (before[name] + 0 > 0 ? sprintf("%.2f", value / before[name]) : "-")
}
