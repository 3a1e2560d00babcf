import { defineConfig } from "vite";

// Output goes into the Go package that embeds it. Nothing is fetched at run
// time, nothing is inlined: the server's policy allows files only.
export default defineConfig({
  base: "./",
  build: {
    outDir: "../internal/web/dist",
    emptyOutDir: true,
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    target: "es2022",
    reportCompressedSize: false,
  },
  server: { proxy: { "/api": { target: process.env.FLEDGE_AT ?? "http://127.0.0.1:7788", changeOrigin: true } } },
  test: { include: ["test/unit/**/*.test.ts"], setupFiles: ["test/unit/browser.ts"] },
} as Parameters<typeof defineConfig>[0]);
