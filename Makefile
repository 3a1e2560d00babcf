# Two commands do all set-up: `make demo` (needs Go only) and `make test`.
GO_SRC := $(shell find cmd internal -name '*.go' -not -name '*_test.go' 2>/dev/null)
EMBED  := $(shell find internal -path '*/assets/*' -type f 2>/dev/null)
BIN    := bin/fledge
TEST_PKGS ?= ./...

.PHONY: demo build test check accuracy bench docs fuzz clean release

demo: $(BIN)
	@$(BIN) check examples/tern.yaml || test $$? -eq 3
	@echo
	@$(BIN) check examples/tern-corrected.yaml || test $$? -eq 3

build: $(BIN)

$(BIN): $(GO_SRC) $(EMBED) go.mod go.sum
	CGO_ENABLED=0 go build -trimpath -ldflags '-s -w' -o $@ ./cmd/fledge

# check: format, vet, static analysis, import rules.
check:
	@out=$$(gofmt -l cmd internal); if [ -n "$$out" ]; then echo "not gofmt-ed:"; echo "$$out"; exit 1; fi
	go vet ./...
	go tool staticcheck ./...

test: $(BIN) check
	go test $(TEST_PKGS)

accuracy:
	@rm -rf .make/accuracy && mkdir -p .make/accuracy
	FLEDGE_ACCURACY=$(CURDIR)/.make/accuracy go test -count=1 -p 2 ./internal/...
	go run ./cmd/accuracy .make/accuracy docs/accuracy.md

docs:
	go run ./cmd/docs docs

# bench: the promised speeds beside their aims, ratios from one run.
bench:
	@go run ./cmd/bench

# release: what users get: one file per system, no cgo, trimmed paths, the
# version stamped from the commit; manual pages, completion and checksums.
SYSTEMS := linux/amd64 linux/arm64 darwin/amd64 darwin/arm64 windows/amd64 windows/arm64
release:
	@rm -rf release && mkdir -p release
	@set -e; for s in $(SYSTEMS); do os=$${s%/*}; arch=$${s#*/}; end=; [ $$os = windows ] && end=.exe; \
	  echo "release: $$os $$arch"; \
	  CGO_ENABLED=0 GOOS=$$os GOARCH=$$arch go vet ./cmd/fledge ./internal/app ./internal/store; \
	  CGO_ENABLED=0 GOOS=$$os GOARCH=$$arch go build -trimpath -ldflags '-s -w' -o release/fledge-$$os-$$arch$$end ./cmd/fledge; done
	SOURCE_DATE_EPOCH=$$(git log -1 --format=%ct) go run -tags manual ./cmd/fledge manual release
	cd release && sha256sum fledge-* man/* completion/* > sums.txt

clean:
	rm -rf bin .make release
