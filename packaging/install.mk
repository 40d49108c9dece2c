# Installing, taking away again, and a Debian package. PREFIX and DESTDIR are honoured.

BINDIR        = $(DESTDIR)$(PREFIX)/bin
MANDIR        = $(DESTDIR)$(PREFIX)/share/man
COMPLETIONDIR = $(DESTDIR)$(PREFIX)/share/bash-completion/completions
DATADIR       = $(DESTDIR)$(PREFIX)/share/guardspan
DOCDIR        = $(DESTDIR)$(PREFIX)/share/doc/guardspan

INSTALL       = install
PROFILES      = $(sort $(wildcard profiles/*.ini))
PAGES         = $(sort $(wildcard docs/*))

.PHONY: install uninstall deb fuzz

install: $(BUILD)/guardspan
	$(INSTALL) -d $(BINDIR) $(MANDIR)/man1 $(MANDIR)/man5 $(COMPLETIONDIR) $(DATADIR)/profiles $(DOCDIR)/docs
	$(INSTALL) -m 755 $(BUILD)/guardspan $(BINDIR)/guardspan
	$(INSTALL) -m 644 man/guardspan.1 $(MANDIR)/man1/guardspan.1
	$(INSTALL) -m 644 man/guardspan-profile.5 $(MANDIR)/man5/guardspan-profile.5
	$(INSTALL) -m 644 completion/guardspan.bash $(COMPLETIONDIR)/guardspan
	$(INSTALL) -m 644 $(PROFILES) $(DATADIR)/profiles
	$(INSTALL) -m 644 README.md LICENSE $(DOCDIR)
	$(INSTALL) -m 644 $(PAGES) $(DOCDIR)/docs

# Takes away what install put there, and folders of its own that are empty then.
uninstall:
	rm -f $(BINDIR)/guardspan $(MANDIR)/man1/guardspan.1 $(MANDIR)/man5/guardspan-profile.5
	rm -f $(COMPLETIONDIR)/guardspan $(DOCDIR)/README.md $(DOCDIR)/LICENSE
	rm -f $(addprefix $(DATADIR)/,$(PROFILES)) $(addprefix $(DOCDIR)/,$(PAGES))
	-[ ! -d $(DATADIR)/profiles ] || rmdir $(DATADIR)/profiles $(DATADIR)
	-[ ! -d $(DOCDIR)/docs ] || rmdir $(DOCDIR)/docs
	-[ ! -d $(DOCDIR) ] || rmdir $(DOCDIR)

# $(BUILD)/guardspan_VERSION_ARCHITECTURE.deb
deb: $(BUILD)/guardspan
	BUILD='$(BUILD)' VERSION='$(VERSION)' MAKE='$(MAKE)' bash packaging/make-deb

# A minute for each fuzzing target; FUZZ_SECONDS=600 for longer.
FUZZ_SECONDS ?= 60
fuzz:
	set -e; for target in tests/fuzz/fuzz_*.c; do \
	    name=$${target##*/fuzz_}; tests/fuzz/run-fuzz $${name%.c} $(FUZZ_SECONDS); \
	done
