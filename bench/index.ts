import { readdirSync } from "node:fs";

const folder = new URL(".", import.meta.url);
const asked = process.argv.slice(2);
const files = readdirSync(folder)
  .filter((file) => file.endsWith(".bench.ts"))
  .filter((file) => asked.length === 0 || asked.some((name) => file.startsWith(name)))
  .sort();
for (const file of files) {
  console.log(`\n${file}`);
  await import(new URL(file, folder).href);
}
