# Styles and scripts of the pages become part of the library; the pages hold them inline, with their hashes.
PAGE_FILES := src/present/page.css src/present/page.js src/present/day.css $(sort $(wildcard src/present/day_*.js))
LIB_OBJ += $(B)/src/present/page_files.o

$(B)/src/present/page_files.c: src/present/embed.awk $(PAGE_FILES)
	@mkdir -p $(@D)
	awk -v table=page_files -f $^ > $@.part
	mv $@.part $@

$(B)/src/present/page_files.o: $(B)/src/present/page_files.c
	$(CC) $(CFLAGS_ALL) -Isrc/present -c -o $@ $<
