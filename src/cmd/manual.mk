# The manual pages, completion, and what `make install` puts where. The pages are written once, in src/cmd/manual; what
# the .in files leave open comes from the program's tables. They are laid out as man wants them: man -M build/manual wetrun
MANUAL := $(B)/manual
MANUAL_SRC := $(sort $(wildcard src/cmd/manual/*.[1-9]))
MANUAL_PAGES := $(MANUAL)/man1/wetrun.1 $(MANUAL)/man5/wetrun-files.5 $(foreach page,$(MANUAL_SRC),$(MANUAL)/man$(patsubst .%,%,$(suffix $(page)))/$(notdir $(page)))
SHARE := $(DESTDIR)$(PREFIX)/share
ZSH ?= $(PREFIX)/share/zsh/site-functions

.PHONY: manual check-manual install uninstall
manual: $(MANUAL_PAGES)

define manual_page
$(MANUAL)/man$(patsubst .%,%,$(suffix $(1)))/$(notdir $(1)): $(1)
	@mkdir -p $$(@D)
	cp $$< $$@
endef
$(foreach page,$(MANUAL_SRC),$(eval $(call manual_page,$(page))))

define filled_page
$(MANUAL)/man$(2)/$(1).$(2): src/cmd/manual/$(1).$(2).in $(B)/wetrun
	@mkdir -p $$(@D)
	$(B)/wetrun --manual > $$@.tables
	awk 'FNR == NR { if (/@[A-Z]+@$$$$/) name = $$$$NF; else table[name] = table[name] $$$$0 "\n"; next } \
	  $$$$NF in table { printf "%s", table[$$$$NF]; next } { print }' $$@.tables $$< > $$@.part
	rm $$@.tables
	mv $$@.part $$@
endef
$(eval $(call filled_page,wetrun,1))
$(eval $(call filled_page,wetrun-files,5))

# mandoc is the judge; whether a page of ours that is referred to exists is seen here, for mandoc asks what is installed.
check-manual: manual
	@sh tests/support/check_manual.sh $(MANUAL)

install: $(B)/wetrun install-library manual
	install -d $(DESTDIR)$(PREFIX)/bin $(SHARE)/bash-completion/completions $(DESTDIR)$(ZSH) $(SHARE)/fish/vendor_completions.d
	install -m 755 $(B)/wetrun $(DESTDIR)$(PREFIX)/bin/wetrun
	for page in $(MANUAL_PAGES); do install -D -m 644 $$page $(SHARE)/man/$$(basename $$(dirname $$page))/$$(basename $$page) || exit 1; done
	install -m 644 src/cmd/manual/*.md $(SHARE)/doc/wetrun
	$(B)/wetrun --completion bash > $(SHARE)/bash-completion/completions/wetrun
	$(B)/wetrun --completion zsh > $(DESTDIR)$(ZSH)/_wetrun
	$(B)/wetrun --completion fish > $(SHARE)/fish/vendor_completions.d/wetrun.fish

# What install puts there, and the folders that are wetrun's alone.
uninstall:
	rm -f $(DESTDIR)$(PREFIX)/bin/wetrun $(patsubst $(MANUAL)/%,$(SHARE)/man/%,$(MANUAL_PAGES))
	rm -f $(SHARE)/bash-completion/completions/wetrun $(DESTDIR)$(ZSH)/_wetrun $(SHARE)/fish/vendor_completions.d/wetrun.fish
	rm -f $(DESTDIR)$(LIBDIR)/libwetrun.a $(DESTDIR)$(LIBDIR)/libwetrun.so* $(DESTDIR)$(LIBDIR)/pkgconfig/wetrun.pc
	rm -rf $(DESTDIR)$(PREFIX)/include/wetrun $(SHARE)/doc/wetrun
