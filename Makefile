# Two commands do all set-up: `make demo` (needs Go only) and `make test`.
GO_SRC := $(shell find cmd internal -name '*.go' -not -name '*_test.go' 2>/dev/null)
EMBED  := $(shell find internal -path '*/assets/*' -type f 2>/dev/null) $(wildcard internal/web/dist/index.html)
PAGE   := internal/web/dist/index.html
UI_SRC := $(shell find ui/src ui/public -type f 2>/dev/null) ui/index.html ui/package.json ui/tsconfig.json ui/vite.config.ts
BIN    := bin/fledge
TEST_PKGS ?= ./...

.PHONY: demo build ui browser poppler pages test check accuracy bench docs clean release soak

demo: $(BIN)
	@$(BIN) check examples/tern.yaml || test $$? -eq 3
	@echo
	@$(BIN) check examples/tern-corrected.yaml || test $$? -eq 3

# build: the command with the workshop's page in it (needs Node; `go build
# ./cmd/fledge` makes one without).
build: $(PAGE)
	@$(MAKE) --no-print-directory $(BIN)

$(BIN): $(GO_SRC) $(EMBED) go.mod go.sum
	CGO_ENABLED=0 go build -trimpath -ldflags '-s -w' -o $@ ./cmd/fledge

# ui: the workshop's page, type-checked and bundled into internal/web/dist.
ui: $(PAGE)

$(PAGE): $(UI_SRC) ui/node_modules/.stamp
	cd ui && npm run --silent build

ui/node_modules/.stamp: ui/package-lock.json ui/.npmrc
	cd ui && npm ci --no-audit --no-fund
	@touch $@

# browser: the Chromium that the page tests drive; CI cannot do without.
browser:
	@command -v chromium >/dev/null || if [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null; then \
	  apt-get update -q && apt-get install -qy --no-install-recommends chromium; \
	elif [ -n "$$CI" ]; then echo "no Chromium on PATH, and installing one needs root and apt-get"; exit 1; \
	else echo "no Chromium on PATH: the page tests will be skipped"; fi

.make/fledge: $(GO_SRC) $(EMBED) $(PAGE) go.mod go.sum
	@mkdir -p .make
	CGO_ENABLED=0 go build -trimpath -o $@ ./cmd/fledge

# pages: the workshop in a real browser; pictures of every view in .make/sheets.
pages: browser .make/fledge
	cd ui && npm test --silent
	cd ui && FLEDGE_BIN=$(CURDIR)/.make/fledge npm run --silent pages

# check: format, vet, static analysis, import rules.
check:
	@out=$$(gofmt -l cmd internal); if [ -n "$$out" ]; then echo "not gofmt-ed:"; echo "$$out"; exit 1; fi
	go vet ./...
	go tool staticcheck ./...

# poppler: renders and reads the PDF pages in their tests; CI cannot do without.
poppler:
	@command -v pdftotext >/dev/null || if [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null; then \
	  apt-get update -q && apt-get install -qy --no-install-recommends poppler-utils; \
	elif [ -n "$$CI" ]; then echo "no pdftotext on PATH, and installing it needs root and apt-get"; exit 1; \
	else echo "no pdftotext on PATH: the tests of printed pages will be skipped"; fi

test: $(BIN) poppler check
	go test -timeout 20m $(TEST_PKGS)
	@$(MAKE) --no-print-directory pages

accuracy:
	@rm -rf .make/accuracy && mkdir -p .make/accuracy
	FLEDGE_ACCURACY=$(CURDIR)/.make/accuracy go test -count=1 -p 2 ./internal/...
	go run ./cmd/accuracy .make/accuracy docs/accuracy.md

docs:
	go run ./cmd/docs docs

# bench: the promised speeds beside their aims, ratios from one run, kept in
# docs/speed.md; beside LAPACK too where it is installed with a C compiler.
LAPACK  = $(shell command -v cc >/dev/null && echo 'int main(void){return 0;}' | cc -x c - -llapack -o /dev/null 2>/dev/null && echo '-tags lapack')
bench: .make/fledge
	@go run $(LAPACK) ./cmd/bench -page docs/speed.md
	@cd ui && FLEDGE_BIN=$(CURDIR)/.make/fledge node test/page/bench.mjs

# release: what users get: one archive per system with the program (no cgo,
# trimmed paths, stamped with the commit), manual pages, completion, documents,
# examples and the licences of all that is in it; and the checksums.
SYSTEMS := linux/amd64 linux/arm64 darwin/amd64 darwin/arm64 windows/amd64 windows/arm64
release: $(PAGE)
	@rm -rf release && mkdir -p release .make
	@set -e; for s in $(SYSTEMS); do os=$${s%/*}; arch=$${s#*/}; end=; [ $$os = windows ] && end=.exe; \
	  echo "release: $$os $$arch"; \
	  CGO_ENABLED=0 GOOS=$$os GOARCH=$$arch go vet ./cmd/fledge ./internal/app ./internal/store; \
	  CGO_ENABLED=0 GOOS=$$os GOARCH=$$arch go build -buildvcs=true -trimpath -ldflags '-s -w' -o release/fledge-$$os-$$arch$$end ./cmd/fledge; done
	go build -buildvcs=true -tags manual -o .make/manual ./cmd/fledge && SOURCE_DATE_EPOCH=$$(git log -1 --format=%ct) .make/manual manual release
	SOURCE_DATE_EPOCH=$$(git log -1 --format=%ct) go run ./cmd/release release
	cd release && sha256sum -c --quiet sums.txt && ls -l

# soak: every fuzz target for SOAK each, then BUILDS whole builds drawn at
# random, then what takes long: kills, full disks, two processes, bad requests.
# What fuzzing finds is kept as a file and fails again at once; that go test gave
# up at the end of its time, as it may on a busy machine, does not.
SOAK   ?= 60s
BUILDS ?= 2000
soak:
	@bad=; for p in $$(go list ./...); do for f in $$(go test -list '^Fuzz' $$p | grep '^Fuzz' || true); do \
	  echo "soak: $$p $$f"; fuzz() { go test -run '^$$' -fuzz "^$$f$$" -fuzztime $(SOAK) $$p; }; \
	  fuzz || { echo "soak: once more, to tell a failure from a time-out"; fuzz; } || bad="$$bad $$f"; done; done; \
	echo "soak: $(BUILDS) builds"; FLEDGE_SOAK=$(BUILDS) go test -count=1 -timeout 24h -run TestAnyAircraft ./internal/app || bad="$$bad TestAnyAircraft"; \
	echo "soak: kills, full disks, clocks, requests"; \
	FLEDGE_SOAK=$(BUILDS) go test -count=1 -timeout 24h -run 'TestSoak|TestKilled' ./internal/store ./internal/web ./cmd/fledge || bad="$$bad TestSoak"; \
	if [ -n "$$bad" ]; then echo "soak: failed:$$bad"; exit 1; fi; echo "soak: nothing found"

clean:
	rm -rf bin .make release
