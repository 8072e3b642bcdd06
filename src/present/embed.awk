# embed.awk -v table=NAME FILE...: the files as C, one row {"file name without its folders", "contents"} each, ended by
# a row of NULLs (src/present/embedded.h).
BEGIN { printf "#include \"embedded.h\"\n#include <stddef.h>\nconst struct embedded %s[] = {\n", table }
FNR == 1 {
    if (NR > 1) print "    },"
    name = FILENAME
    sub(/.*\//, "", name)
    printf "    {\"%s\",\n", name
}
{
    gsub(/\\/, "&&")
    gsub(/["?]/, "\\\\&")    # the question mark: no trigraphs
    gsub(/\t/, "\\\\t")
    printf "     \"%s\\n\"\n", $0
}
END { if (NR > 0) print "    },"; print "    {NULL, NULL}};" }
