// Bundles the pages' script, styles and fonts into ../dist, from where the server embeds them.
// Three entries: `page` for every screen, `desk` for the film desk, `bench` for the shell bench with its 3D view.
import { existsSync } from "node:fs";
import { defineConfig } from "vite";

const input: Record<string, string> = { page: "src/page.ts" };
for (const place of ["desk", "bench"]) if (existsSync(`${place}/${place}.ts`)) input[place] = `${place}/${place}.ts`;

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
