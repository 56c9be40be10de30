// Passkeys: asks the server for a question, the authenticator for an answer, and hands it back. Nothing is kept here.

type Json = Record<string, unknown>;

const bytes = (text: unknown): ArrayBuffer => {
  const plain = atob(String(text).replaceAll("-", "+").replaceAll("_", "/"));
  return Uint8Array.from(plain, (c) => c.charCodeAt(0)).buffer;
};

const letters = (value: ArrayBuffer | null | undefined): string | null => {
  if (!value) return null;
  let plain = "";
  for (const byte of new Uint8Array(value)) plain += String.fromCharCode(byte);
  return btoa(plain).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
};

/** What is told where somebody cancels, waits too long or has no such key; the browser never says which. */
const NO_ANSWER = "The authenticator gave no answer. Try again, or take another one.";

class Told extends Error {}

async function post(address: string, body: Json): Promise<Json> {
  const answer = await fetch(address, {
    method: "POST",
    headers: { "content-type": "application/json", accept: "application/json" },
    body: JSON.stringify(body),
  });
  const said = (await answer.json()) as Json;
  if (!answer.ok) throw new Told(`${said["error"]} ${said["todo"]}`);
  return said;
}

const descriptors = (list: unknown): PublicKeyCredentialDescriptor[] => ((list as Json[] | undefined) ?? []).map((one) => ({ ...one, id: bytes(one["id"]) }) as unknown as PublicKeyCredentialDescriptor);

async function added(form: FormData): Promise<Json> {
  const asked = await post("/account/passkeys/begin", { label: form.get("label"), passphrase: form.get("passphrase") });
  const wanted = (asked["options"] as Json)["publicKey"] as Json;
  const user = wanted["user"] as Json;
  const publicKey = {
    ...wanted,
    challenge: bytes(wanted["challenge"]),
    user: { ...user, id: bytes(user["id"]) },
    excludeCredentials: descriptors(wanted["excludeCredentials"]),
  } as unknown as PublicKeyCredentialCreationOptions;
  const made = (await navigator.credentials.create({ publicKey })) as PublicKeyCredential | null;
  if (!made) throw new Told(NO_ANSWER);
  const response = made.response as AuthenticatorAttestationResponse;
  const credential = {
    id: made.id,
    rawId: letters(made.rawId),
    type: made.type,
    extensions: made.getClientExtensionResults(),
    response: { attestationObject: letters(response.attestationObject), clientDataJSON: letters(response.clientDataJSON), transports: response.getTransports?.() ?? [] },
  };
  return post("/account/passkeys/finish", { ceremony: asked["ceremony"], credential });
}

async function cameIn(form: FormData): Promise<Json> {
  const asked = await post("/sign-in/passkey/begin", { login: form.get("login") });
  const wanted = (asked["options"] as Json)["publicKey"] as Json;
  const publicKey = {
    ...wanted,
    challenge: bytes(wanted["challenge"]),
    allowCredentials: descriptors(wanted["allowCredentials"]),
  } as unknown as PublicKeyCredentialRequestOptions;
  const shown = (await navigator.credentials.get({ publicKey })) as PublicKeyCredential | null;
  if (!shown) throw new Told(NO_ANSWER);
  const response = shown.response as AuthenticatorAssertionResponse;
  const credential = {
    id: shown.id,
    rawId: letters(shown.rawId),
    type: shown.type,
    extensions: shown.getClientExtensionResults(),
    response: {
      authenticatorData: letters(response.authenticatorData),
      clientDataJSON: letters(response.clientDataJSON),
      signature: letters(response.signature),
      userHandle: letters(response.userHandle),
    },
  };
  return post("/sign-in/passkey/finish", { ceremony: asked["ceremony"], credential, to: form.get("to") });
}

/** Forms that ask an authenticator; without one in the browser they stay away or say so. */
export function passkeys(): void {
  for (const form of document.querySelectorAll<HTMLFormElement>("form[data-passkey]")) {
    if (!("credentials" in navigator) || !("PublicKeyCredential" in window)) continue;
    form.hidden = false;
    const told = form.querySelector<HTMLElement>("[data-said]");
    const button = form.querySelector<HTMLButtonElement>("button");
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      if (button) button.disabled = true;
      if (told) told.hidden = true;
      try {
        const what = new FormData(form);
        const done = form.dataset["passkey"] === "add" ? await added(what) : await cameIn(what);
        const to = String(done["to"]);
        if (to.split("#")[0] === location.pathname) location.reload();
        else location.assign(to);
      } catch (fault) {
        if (told) {
          told.textContent = fault instanceof Told ? fault.message : NO_ANSWER;
          told.hidden = false;
        }
      } finally {
        if (button) button.disabled = false;
      }
    });
  }
}
