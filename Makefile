# tackhold: does a thin plate on tape and glue stay put under the cut?
#
#   make            build/tackhold and build/libtackhold.a (installs nothing)
#   make demo       install what is missing, build, run the main job on an example
#   make test       install what the tests need, run all of them
#   make sanitize   the tests under the address and undefined-behaviour sanitizers
#   make coverage   line coverage of the core
#   make bench      time of `check` on each example
#   make fuzz       fuzz the outline readers, FUZZ_SECONDS each
#   make install    PREFIX=/usr/local DESTDIR=

PREFIX ?= /usr/local
BUILD ?= build
CC ?= gcc
WARNINGS := -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Werror
CFLAGS ?= -O2 -g
DATADIR := $(PREFIX)/share/tackhold

# The layers, in the order in which data runs. A layer includes only those before it; files comes
# last before cli because nothing but cli includes it. tests/layers.sh holds the code to this.
LAYERS := base quantity tables cutting plate bond advice report files cli
CORE := base quantity tables cutting plate bond advice report

BUILD_PACKAGES := gcc libc6-dev make libiniparser-dev libexpat1-dev libsuitesparse-dev \
    libopenblas-pthread-dev
TEST_PACKAGES := $(BUILD_PACKAGES) libcmocka-dev python3-minimal python3 valgrind

compile = $(CC) -std=c11 $(WARNINGS) $(CFLAGS) -Iinclude -MMD -MP
library_sources := $(foreach layer,$(filter-out cli,$(LAYERS)),$(wildcard src/$(layer)/*.c))
cli_sources := $(wildcard src/cli/*.c)
library_objects := $(library_sources:%.c=$(BUILD)/%.o)
cli_objects := $(cli_sources:%.c=$(BUILD)/%.o)
unit_tests := $(patsubst tests/unit/%.c,$(BUILD)/tests/%,$(wildcard tests/unit/test_*.c))
test_support := $(patsubst tests/%.c,$(BUILD)/tests/%.o,$(wildcard tests/support/*.c))
# Only what is used is loaded at start: the sparse solver costs milliseconds.
libraries := -Wl,--as-needed -liniparser -lexpat -lcholmod -lopenblas -lgomp -lm

FUZZ_SECONDS ?= 60

.PHONY: all demo test sanitize coverage bench fuzz format keys install uninstall clean layers \
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

$(BUILD)/tests/support/%.o: tests/support/%.c
	@mkdir -p $(@D)
	$(compile) -Itests -Isrc/bond -c $< -o $@

$(BUILD)/tests/%: tests/unit/%.c $(test_support) $(BUILD)/libtackhold.a
	@mkdir -p $(@D)
	$(compile) -Itests -Isrc/bond $< $(test_support) $(BUILD)/libtackhold.a \
	    $(LDFLAGS) -lcmocka $(libraries) -o $@

.SECONDARY: $(test_support)

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
	    CFLAGS='-O1 -g -fno-omit-frame-pointer -fsanitize=address,undefined,float-cast-overflow -fno-sanitize-recover=all -Wno-format-truncation' \
	    all unit-tests
	@BUILD=$(BUILD)/sanitize NO_VALGRIND=1 sh tests/run.sh

coverage:
	@sh tests/need.sh $(TEST_PACKAGES) gcovr
	@$(MAKE) --no-print-directory BUILD=$(BUILD)/coverage CFLAGS='-O0 -g --coverage' all unit-tests
	@BUILD=$(BUILD)/coverage NO_VALGRIND=1 sh tests/run.sh
	gcovr --root . --object-directory $(BUILD)/coverage \
	    $(foreach layer,$(CORE),--filter 'src/$(layer)/') --print-summary --fail-under-line 90

bench: all
	@sh tests/need.sh python3
	@sh tests/bench.sh $(BUILD)/tackhold

# FUZZ_SECONDS for each reader of outlines.
fuzz:
	@sh tests/need.sh $(BUILD_PACKAGES) clang-14 libclang-rt-14-dev
	@for kind in svg dxf; do mkdir -p $(BUILD)/fuzz/$$kind && \
	    clang-14 -std=c11 -g -O1 -fsanitize=fuzzer,address,undefined -fno-sanitize-recover=all \
	        -Iinclude -Itests/fuzz tests/fuzz/fuzz_$$kind.c src/base/*.c src/plate/*.c \
	        $(filter-out %/ini_read.c %/ini_scan.c %/job_read.c %/tables_load.c %/write.c,$(wildcard src/files/*.c)) \
	        -lexpat -lm -o $(BUILD)/fuzz/fuzz_$$kind && \
	    $(BUILD)/fuzz/fuzz_$$kind -max_total_time=$(FUZZ_SECONDS) -max_len=2048 -timeout=10 \
	        -rss_limit_mb=1500 $(BUILD)/fuzz/$$kind tests/fuzz/seeds/$$kind || exit 1; done

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
