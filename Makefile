# tackhold: does a thin plate on tape and glue stay put under the cut?
#
#   make            build/tackhold and build/libtackhold.a (installs nothing)
#   make demo       install what is missing, build, run the main job on an example
#   make test       install what the tests need, run all of them
#   make sanitize   the tests under the address and undefined-behaviour sanitizers
#   make coverage   line coverage of the core
#   make bench      time of `check` on each example
#   make install    PREFIX=/usr/local DESTDIR=

PREFIX ?= /usr/local
BUILD ?= build
CC ?= gcc
OPTIMISE ?= -O2 -g
WARNINGS := -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Werror
CFLAGS ?= $(OPTIMISE)
DATADIR := $(PREFIX)/share/tackhold

# The layers, in the order in which data runs. A layer includes only those before it; files comes
# last before cli because nothing but cli includes it. tests/layers.sh holds the code to this.
LAYERS := base quantity tables cutting bond advice report files cli
CORE := base quantity tables cutting bond advice report

BUILD_PACKAGES := gcc libc6-dev make libiniparser-dev
TEST_PACKAGES := $(BUILD_PACKAGES) libcmocka-dev python3-minimal python3 valgrind

compile = $(CC) -std=c11 $(WARNINGS) $(CFLAGS) -Iinclude -MMD -MP
library_sources := $(foreach layer,$(filter-out cli,$(LAYERS)),$(wildcard src/$(layer)/*.c))
cli_sources := $(wildcard src/cli/*.c)
library_objects := $(library_sources:%.c=$(BUILD)/%.o)
cli_objects := $(cli_sources:%.c=$(BUILD)/%.o)
unit_tests := $(patsubst tests/unit/%.c,$(BUILD)/tests/%,$(wildcard tests/unit/test_*.c))
libraries := -liniparser -lm

.PHONY: all demo test sanitize coverage bench format keys install uninstall clean layers \
        unit-tests build-packages test-packages

all: $(BUILD)/tackhold $(BUILD)/libtackhold.a

$(BUILD)/src/%.o: src/%.c
	@mkdir -p $(@D)
	$(compile) -DTH_DATADIR='"$(DATADIR)"' -c $< -o $@

$(BUILD)/libtackhold.a: $(library_objects)
	@rm -f $@
	ar rcsD $@ $^

$(BUILD)/tackhold: $(cli_objects) $(BUILD)/libtackhold.a
	$(CC) $(CFLAGS) $(LDFLAGS) $^ $(libraries) -o $@

$(BUILD)/tests/support/near.o: tests/support/near.c tests/support/near.h
	@mkdir -p $(@D)
	$(compile) -Itests -c $< -o $@

$(BUILD)/tests/%: tests/unit/%.c $(BUILD)/tests/support/near.o $(BUILD)/libtackhold.a
	@mkdir -p $(@D)
	$(compile) -Itests $< $(BUILD)/tests/support/near.o $(BUILD)/libtackhold.a \
	    $(LDFLAGS) -lcmocka $(libraries) -o $@

-include $(library_objects:.o=.d) $(cli_objects:.o=.d) $(unit_tests:=.d)

build-packages:
	@sh tests/need.sh $(BUILD_PACKAGES)

test-packages:
	@sh tests/need.sh $(TEST_PACKAGES)

demo: build-packages
	@$(MAKE) --no-print-directory all
	@sh tests/demo.sh $(BUILD)/tackhold

unit-tests: $(unit_tests)

test: test-packages
	@$(MAKE) --no-print-directory all unit-tests
	@BUILD=$(BUILD) sh tests/run.sh

sanitize: test-packages
	@$(MAKE) --no-print-directory BUILD=$(BUILD)/sanitize \
	    OPTIMISE='-O1 -g -fno-omit-frame-pointer -fsanitize=address,undefined -fno-sanitize-recover=all' \
	    all unit-tests
	@BUILD=$(BUILD)/sanitize NO_VALGRIND=1 sh tests/run.sh

coverage:
	@sh tests/need.sh $(TEST_PACKAGES) gcovr
	@$(MAKE) --no-print-directory BUILD=$(BUILD)/coverage OPTIMISE='-O0 -g --coverage' all unit-tests
	@BUILD=$(BUILD)/coverage NO_VALGRIND=1 sh tests/run.sh
	gcovr --root . --object-directory $(BUILD)/coverage \
	    $(foreach layer,$(CORE),--filter 'src/$(layer)/') --print-summary --fail-under-line 90

bench: all
	@sh tests/bench.sh $(BUILD)/tackhold

format:
	clang-format -i $$(find src include tests -name '*.[ch]')

# The comment block on top of each table is written by the program from its own table of keys.
keys: all
	@for kind in stock tape glue cutter machine coolant plate; do \
	    sh tests/keys.sh $(BUILD)/tackhold $$kind > $(BUILD)/$$kind.ini && \
	    mv $(BUILD)/$$kind.ini materials/$$kind.ini || exit 1; done

layers:
	@LAYERS='$(LAYERS)' sh tests/layers.sh

install: all
	install -d $(DESTDIR)$(PREFIX)/bin $(DESTDIR)$(PREFIX)/lib \
	    $(DESTDIR)$(PREFIX)/include/tackhold $(DESTDIR)$(DATADIR)/materials \
	    $(DESTDIR)$(DATADIR)/examples
	install -m 755 $(BUILD)/tackhold $(DESTDIR)$(PREFIX)/bin/tackhold
	install -m 644 $(BUILD)/libtackhold.a $(DESTDIR)$(PREFIX)/lib/libtackhold.a
	install -m 644 include/tackhold/*.h $(DESTDIR)$(PREFIX)/include/tackhold/
	install -m 644 materials/*.ini $(DESTDIR)$(DATADIR)/materials/
	install -m 644 examples/*.ini $(DESTDIR)$(DATADIR)/examples/

uninstall:
	rm -f $(DESTDIR)$(PREFIX)/bin/tackhold $(DESTDIR)$(PREFIX)/lib/libtackhold.a
	rm -rf $(DESTDIR)$(PREFIX)/include/tackhold $(DESTDIR)$(DATADIR)

clean:
	rm -rf build
