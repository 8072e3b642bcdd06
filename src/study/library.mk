# The library for other programs: every room but the command line's. What its headers declare is exported, nothing else; the
# archive holds one object in which the rest is local, so that it too offers those names only.
SO_VERSION := 1
PUBLIC_OBJ = $(filter-out $(B)/src/cmd/%,$(LIB_OBJ))
PUBLIC_HEADERS := $(filter-out include/wetrun/cmd/% %/banned.h,$(wildcard include/wetrun/*/*.h))
LIBRARY := $(B)/library

.PHONY: library check-library
library: $(LIBRARY)/libwetrun.a $(LIBRARY)/libwetrun.so.$(VERSION) $(LIBRARY)/wetrun.pc

$(LIBRARY)/names: $(PUBLIC_OBJ) $(PUBLIC_HEADERS)
	@mkdir -p $(@D)
	cat $(PUBLIC_HEADERS) | grep -oE 'wr_[a-z0-9_]+' | LC_ALL=C sort -u > $@.said
	nm -g --defined-only $(PUBLIC_OBJ) | awk 'NF == 3 { print $$3 }' | LC_ALL=C sort -u | LC_ALL=C comm -12 - $@.said > $@

$(LIBRARY)/libwetrun.a: $(LIBRARY)/names
	ld -r -o $(LIBRARY)/wetrun.o $(PUBLIC_OBJ)
	objcopy --keep-global-symbols=$(LIBRARY)/names $(LIBRARY)/wetrun.o
	rm -f $@
	ar rcs $@ $(LIBRARY)/wetrun.o

$(LIBRARY)/libwetrun.so.$(VERSION): $(LIBRARY)/names
	{ echo 'WETRUN_$(SO_VERSION) { global:'; sed 's/$$/;/' $<; echo 'local: *; };'; } > $(LIBRARY)/exports.map
	$(CC) $(LDFLAGS_ALL) -shared -Wl,-soname,libwetrun.so.$(SO_VERSION) -Wl,--version-script=$(LIBRARY)/exports.map \
	  -Wl,-z,defs -o $@ $(PUBLIC_OBJ) $(LIBS)

$(LIBRARY)/wetrun.pc: src/study/wetrun.pc.in Makefile src/study/library.mk
	@mkdir -p $(@D)
	sed 's,@PREFIX@,$(PREFIX),; s,@LIBDIR@,$(LIBDIR),; s,@VERSION@,$(VERSION),' $< > $@

.PHONY: install-library $(LIBRARY)/wetrun.pc
install-library: library
	install -d $(DESTDIR)$(LIBDIR)/pkgconfig $(DESTDIR)$(PREFIX)/share/doc/wetrun/examples
	install -m 644 $(LIBRARY)/libwetrun.a $(LIBRARY)/libwetrun.so.$(VERSION) $(DESTDIR)$(LIBDIR)
	ln -sf libwetrun.so.$(VERSION) $(DESTDIR)$(LIBDIR)/libwetrun.so.$(SO_VERSION)
	ln -sf libwetrun.so.$(SO_VERSION) $(DESTDIR)$(LIBDIR)/libwetrun.so
	install -m 644 $(LIBRARY)/wetrun.pc $(DESTDIR)$(LIBDIR)/pkgconfig
	install -m 644 tests/examples/overrun.c $(DESTDIR)$(PREFIX)/share/doc/wetrun/examples
	for h in $(PUBLIC_HEADERS); do install -D -m 644 $$h $(DESTDIR)$(PREFIX)/$$h || exit 1; done

# Installs into a scratch tree, compiles the example there, shared and static, and holds its number against the program's.
check-library: $(B)/wetrun
	@CC="$(CC)" MAKE="$(MAKE)" sh tests/support/check_library.sh
