// Builds the page's scripts and style sheets into ../src/snugbay/web/static, with a hash of the content in each name.
// `static/manifest.json` maps plain names to built ones and records a hash of the sources, so that a test can tell
// whether the committed files were built from them.
import { createHash } from "node:crypto";
import { mkdirSync, readFileSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { basename, join } from "node:path";
import { gzipSync } from "node:zlib";
import { build } from "esbuild";

const here = import.meta.dirname;
const out = join(here, "../src/snugbay/web/static");

const sources = ["package.json", "package-lock.json", "build.mjs", ...list("src"), ...list("css")].sort();

function list(folder) {
  return readdirSync(join(here, folder)).map((name) => `${folder}/${name}`);
}

function sourceHash() {
  const hash = createHash("sha256");
  for (const name of sources) hash.update(name).update("\0").update(readFileSync(join(here, name))).update("\0");
  return hash.digest("hex");
}

rmSync(out, { recursive: true, force: true });
mkdirSync(out, { recursive: true });
const result = await build({
  absWorkingDir: here,
  entryPoints: { page: "src/page.ts", solid: "src/solid.ts", look: "css/page.css" },
  entryNames: "[name]-[hash]",
  outdir: out,
  bundle: true,
  minify: true,
  format: "esm",
  target: ["es2022", "chrome108", "firefox108", "safari16"],
  charset: "utf8",
  legalComments: "none",
  metafile: true,
  external: ["/static/*"],
});

const files = {};
for (const [path, info] of Object.entries(result.metafile.outputs)) {
  if (!info.entryPoint) continue;
  const plain = { "src/page.ts": "page.js", "src/solid.ts": "solid.js", "css/page.css": "look.css" }[info.entryPoint];
  files[plain] = basename(path);
}
for (const name of ["htmx.org", "three"]) {
  const version = JSON.parse(readFileSync(join(here, "node_modules", name, "package.json"))).version;
  const licence = readFileSync(join(here, "node_modules", name, "LICENSE"), "utf8");
  writeFileSync(join(out, `${name}-${version}.LICENSE.txt`), licence);
}
writeFileSync(join(out, "manifest.json"), JSON.stringify({ sources: sourceHash(), files }, null, 2) + "\n");
for (const name of Object.values(files)) {
  const body = readFileSync(join(out, name));
  console.log(`${name}: ${body.length} B, ${gzipSync(body).length} B gzipped`);
}
