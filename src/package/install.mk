# Installing, taking away again, and a Debian package. PREFIX and DESTDIR are honoured.

BINDIR        = $(DESTDIR)$(PREFIX)/bin
MANDIR        = $(DESTDIR)$(PREFIX)/share/man
# Where each shell looks for completions; ZSH_FOLDER is another one in a Debian package.
ZSH_FOLDER   ?= site-functions
BASHDIR       = $(DESTDIR)$(PREFIX)/share/bash-completion/completions
ZSHDIR        = $(DESTDIR)$(PREFIX)/share/zsh/$(ZSH_FOLDER)
FISHDIR       = $(DESTDIR)$(PREFIX)/share/fish/vendor_completions.d
DATADIR       = $(DESTDIR)$(PREFIX)/share/guardspan
DOCDIR        = $(DESTDIR)$(PREFIX)/share/doc/guardspan

INSTALL       = install
# Data keep their folders, so that what the documents name is there under $(DATADIR) too.
DATA          = $(sort $(wildcard profiles/*.ini profiles/*.txt demo/lessons/*.txt demo/pages/*.txt demo/readings/*.txt demo/slurm/*))
DATA_FOLDERS  = $(sort $(dir $(DATA)))
DOCUMENTED    = tests/published/accuracy.md tests/published/delays.png
# Documents that name the folder of data get the prefix in use.
IN_PREFIX     = sed 's|/usr/local/share/guardspan|$(PREFIX)/share/guardspan|g'

.PHONY: install uninstall deb fuzz

install: $(BUILD)/guardspan
	$(INSTALL) -d $(BINDIR) $(MANDIR)/man1 $(MANDIR)/man5 $(MANDIR)/man7 $(BASHDIR) $(ZSHDIR) $(FISHDIR) $(DOCDIR)/tests/published $(addprefix $(DATADIR)/,$(DATA_FOLDERS))
	$(INSTALL) -m 755 $(BUILD)/guardspan $(BINDIR)/guardspan
	$(INSTALL) -m 644 man/guardspan.1 $(MANDIR)/man1/guardspan.1
	$(IN_PREFIX) man/guardspan.1 >$(MANDIR)/man1/guardspan.1
	$(INSTALL) -m 644 man/guardspan-profile.5 $(MANDIR)/man5/guardspan-profile.5
	$(INSTALL) -m 644 man/guardspan-cluster.7 $(MANDIR)/man7/guardspan-cluster.7
	$(IN_PREFIX) man/guardspan-cluster.7 >$(MANDIR)/man7/guardspan-cluster.7
	$(INSTALL) -m 644 src/package/guardspan.bash $(BASHDIR)/guardspan
	$(INSTALL) -m 644 src/package/guardspan.zsh $(ZSHDIR)/_guardspan
	$(INSTALL) -m 644 src/package/guardspan.fish $(FISHDIR)/guardspan.fish
	for file in $(DATA); do \
	    if [ -x $$file ]; then mode=755; else mode=644; fi; \
	    $(INSTALL) -m $$mode $$file $(DATADIR)/$$file || exit; \
	done
	$(INSTALL) -m 644 README.md DEVELOPERS.md LICENSE $(DOCDIR)
	$(IN_PREFIX) README.md >$(DOCDIR)/README.md
	$(INSTALL) -m 644 $(DOCUMENTED) $(DOCDIR)/tests/published

# Takes away what install put there, and folders of its own that are empty then.
uninstall:
	rm -f $(BINDIR)/guardspan $(MANDIR)/man1/guardspan.1 $(MANDIR)/man5/guardspan-profile.5 $(MANDIR)/man7/guardspan-cluster.7
	rm -f $(BASHDIR)/guardspan $(ZSHDIR)/_guardspan $(FISHDIR)/guardspan.fish
	rm -f $(addprefix $(DOCDIR)/,README.md DEVELOPERS.md LICENSE $(DOCUMENTED))
	rm -f $(addprefix $(DATADIR)/,$(DATA))
	-for folder in $(addprefix $(DATADIR)/,$(DATA_FOLDERS) demo .) $(DOCDIR)/tests/published $(DOCDIR); do \
	    [ ! -d $$folder ] || rmdir $${folder%/.}; \
	done

# $(BUILD)/guardspan_VERSION_ARCHITECTURE.deb
deb: $(BUILD)/guardspan
	BUILD='$(BUILD)' VERSION='$(VERSION)' MAKE='$(MAKE)' bash src/package/make-deb

# A minute for each fuzzing target; FUZZ_SECONDS=600 for longer.
FUZZ_SECONDS ?= 60
fuzz:
	set -e; for target in tests/fuzz/fuzz_*.c; do \
	    name=$${target##*/fuzz_}; tests/fuzz/run-fuzz $${name%.c} $(FUZZ_SECONDS); \
	done
