// Bundles the pages' script, styles and fonts into ../dist, from where the server embeds them.
// Two entries: `page` for every screen and `desk` for the film desk (built as soon as it is there).
import { existsSync } from "node:fs";
import { defineConfig } from "vite";

const input: Record<string, string> = { page: "src/page.ts" };
if (existsSync("desk/desk.ts")) input["desk"] = "desk/desk.ts";

export default defineConfig({
  base: "/assets/",
  build: {
    outDir: "../dist",
    emptyOutDir: true,
    assetsDir: "",
    // The server looks up hashed names here and lets browsers keep them for ever.
    manifest: "manifest.json",
    // Fonts stay files: the content security policy allows no data: addresses.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    target: "es2023",
    rollupOptions: { input },
  },
});
