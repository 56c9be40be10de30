// Keys for machines and passkeys: made, used, taken back, refused. The authenticator is the browser's own virtual one.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { accessible, browser, demoPractice, desktop, open, press, serve, shot, tablet, type } from "../lib.mjs";

const PASSPHRASE = "heron under grey slate";
let server, chrome, named;

before(async () => {
  server = await serve(demoPractice());
  named = server.address.replace("127.0.0.1", "localhost");
  chrome = await browser();
});

after(async () => {
  await chrome?.close();
  await server?.stop();
});

/** An authenticator that knows its owner; gives it and a way to speak to it. */
async function authenticator(page) {
  const session = await page.context().newCDPSession(page);
  await session.send("WebAuthn.enable");
  const { authenticatorId } = await session.send("WebAuthn.addVirtualAuthenticator", {
    options: { protocol: "ctap2", transport: "internal", hasResidentKey: true, hasUserVerification: true, isUserVerified: true, automaticPresenceSimulation: true },
  });
  return { session, authenticatorId };
}

async function turnOn(page) {
  await page.goto(`${named}/people`);
  if (new URL(page.url()).pathname === "/who") {
    await page.locator("button[name=worker]").first().click();
    await page.goto(`${named}/people`);
  }
  await type(page, page.getByLabel("Sign-in name"), "ada");
  await type(page, page.getByLabel("Passphrase, twelve characters or more"), PASSPHRASE);
  await type(page, page.getByLabel("Once more"), PASSPHRASE);
  await page.keyboard.press("Enter");
  await page.getByRole("link", { name: "Keys for machines" }).waitFor();
}

async function signOut(page) {
  await page.goto(`${named}/account`);
  await page.getByRole("button", { name: "Sign out", exact: true }).click();
  await page.waitForURL("**/sign-in");
}

async function withPasskey(page) {
  const form = page.locator("form[data-passkey=sign-in]");
  await type(page, form.getByLabel("Sign-in name"), "ada");
  await press(page, form.getByRole("button", { name: "Sign in with a passkey" }));
  return form;
}

test("a passkey is added, lets its owner in, and once taken back lets nobody in", async () => {
  const page = await open(chrome, desktop);
  await turnOn(page);
  const { session, authenticatorId } = await authenticator(page);
  const credentials = async () => (await session.send("WebAuthn.getCredentials", { authenticatorId })).credentials;

  await page.goto(`${named}/account`);
  const add = page.locator("form[data-passkey=add]");
  await type(page, add.getByLabel("What you call it"), "blue key");
  await type(page, add.getByLabel("Your passphrase"), "another one altogether");
  await page.keyboard.press("Enter");
  await add.getByRole("alert").waitFor();
  assert.match(await add.getByRole("alert").innerText(), /another passphrase than the one in use/);
  assert.equal((await credentials()).length, 0, "nothing is made without the passphrase");
  await type(page, add.getByLabel("Your passphrase"), PASSPHRASE);
  await page.keyboard.press("Enter");
  await page.getByText("blue key", { exact: true }).waitFor();
  assert.equal((await credentials()).length, 1);
  await shot(page, "passkey-account", true);
  await accessible(page, "own account with a passkey");
  await page.setViewportSize(tablet);
  await shot(page, "passkey-account-tablet", true);
  await accessible(page, "own account with a passkey, tablet");
  await page.setViewportSize(desktop);

  await signOut(page);
  await shot(page, "passkey-sign-in", true);
  await accessible(page, "sign in, with a passkey offered");
  await withPasskey(page);
  await page.waitForURL(`${named}/`);

  // Its owner is not known to it: no answer.
  await signOut(page);
  await session.send("WebAuthn.setUserVerified", { authenticatorId, isUserVerified: false });
  const form = await withPasskey(page);
  await form.getByRole("alert").waitFor();
  assert.equal(new URL(page.url()).pathname, "/sign-in");
  await session.send("WebAuthn.setUserVerified", { authenticatorId, isUserVerified: true });
  await withPasskey(page);
  await page.waitForURL(`${named}/`);

  await page.goto(`${named}/account`);
  await page.getByRole("button", { name: /Take it back.*blue key/ }).click();
  await page.waitForURL("**/account#passkeys");
  assert.equal(await page.getByText("blue key", { exact: true }).count(), 0);
  await signOut(page);
  const refused = await withPasskey(page);
  await refused.getByRole("alert").waitFor();
  assert.equal(new URL(page.url()).pathname, "/sign-in");
  await shot(page, "passkey-refused");
});

test("at an address that is a number no passkey is offered, and the page says where", async () => {
  const page = await open(chrome, desktop);
  await page.goto(`${server.address}/sign-in`);
  assert.equal(await page.locator("form[data-passkey]").count(), 0);
  await type(page, page.getByLabel("Sign-in name"), "ada");
  await type(page, page.getByLabel("Passphrase", { exact: true }), PASSPHRASE);
  await page.keyboard.press("Enter");
  await page.waitForURL(`${server.address}/`);
  await page.goto(`${server.address}/account`);
  await page.getByText("open the program by its name, or as localhost").waitFor();
});

test("a key for a machine is made by keyboard, shown once, opens what it says and is taken back", async () => {
  const page = await open(chrome, desktop);
  await page.goto(`${named}/sign-in`);
  await type(page, page.locator("#login"), "ada");
  await type(page, page.getByLabel("Passphrase", { exact: true }), PASSPHRASE);
  await page.keyboard.press("Enter");
  await page.waitForURL(`${named}/`);
  await page.goto(`${named}/people/keys`);
  await accessible(page, "keys for machines, none yet");
  await type(page, page.getByLabel("Which program holds it"), "invented record system");
  await page.getByLabel("read health records (FHIR)").check();
  await page.getByRole("button", { name: "Make it" }).click();
  const token = await page.locator("#token").innerText();
  assert.match(token, /^[0-9a-f]{64}$/);
  await shot(page, "keys-made", true);
  await accessible(page, "keys for machines, one made");
  await page.setViewportSize(tablet);
  await shot(page, "keys-made-tablet", true);
  await accessible(page, "keys for machines, tablet");

  const ask = (path) => fetch(`${server.address}${path}`, { headers: { authorization: `Bearer ${token}` } });
  const found = await (await ask("/fhir/Patient?_count=2")).json();
  assert.equal(found.resourceType, "Bundle");
  assert.ok(found.total > 0);
  assert.equal((await ask("/dicomweb/studies")).status, 403);
  await page.goto(`${named}/people/keys`);
  assert.equal(await page.getByText(token).count(), 0);
  await page.getByRole("button", { name: /Take it back.*invented record system/ }).click();
  await page.getByRole("heading", { name: "Taken back" }).waitFor();
  await shot(page, "keys-taken-back", true);
  assert.equal((await ask("/fhir/Patient")).status, 401);
  await page.goto(`${named}/trail`);
  assert.match(await page.locator("main").innerText(), /invented record system/);
});
