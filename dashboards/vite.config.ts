// How the pages are built: one folder of files that the server carries inside itself.
import { readFileSync, readdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { gzipSync } from "node:zlib";
import { defineConfig, type Plugin } from "vite";

/** JavaScript that one page may cost, after gzip. */
const JS_BUDGET_BYTES = 60_000;

const dist = join(import.meta.dirname, "dist");

/** Lays a .gz beside every text file, and fails the build when the scripts have grown past the budget. */
function gzipBeside(): Plugin {
  return {
    name: "propstick-gzip-beside",
    apply: (_config, env) => env.command === "build" && !env.isSsrBuild,
    closeBundle() {
      let js = 0;
      for (const name of readdirSync(dist, { recursive: true, encoding: "utf8" })) {
        if (!/\.(html|js|css|svg|json|txt)$/.test(name)) continue;
        const path = join(dist, name);
        const packed = gzipSync(readFileSync(path), { level: 9 });
        writeFileSync(`${path}.gz`, packed);
        if (name.endsWith(".js")) js += packed.length;
      }
      if (js > JS_BUDGET_BYTES) {
        throw new Error(`the scripts are ${js} bytes after gzip; the budget is ${JS_BUDGET_BYTES}`);
      }
      console.log(`scripts after gzip: ${js} of ${JS_BUDGET_BYTES} bytes`);
    },
  };
}

export default defineConfig({
  root: join(import.meta.dirname, "web"),
  base: "/",
  build: {
    outDir: dist,
    emptyOutDir: true,
    target: "es2022",
    modulePreload: { polyfill: false },
    // The content policy allows no data: addresses.
    assetsInlineLimit: 0,
  },
  plugins: [gzipBeside()],
});
