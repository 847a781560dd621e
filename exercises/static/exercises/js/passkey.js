/**
 * Passkeys (W3C Web Authentication): a form with `data-passkey`, "create" or "get", lets the browser
 * make or use one when its button is pressed, and sends what the browser says. Nothing is asked
 * before: without this script the form stays hidden.
 */
import { find } from "./dom.js";
import { answer, toCreate, toGet } from "./passkey-json.js";
import { say } from "./words.js";

const form = find("passkey");
const isMade = form.dataset.passkey === "create";
const known = globalThis.PublicKeyCredential;

/** The browser's own way out of JSON, or ours. */
function asked(options) {
  if (isMade) return known.parseCreationOptionsFromJSON?.(options) ?? toCreate(options);
  return known.parseRequestOptionsFromJSON?.(options) ?? toGet(options);
}

async function credential() {
  const options = JSON.parse(document.getElementById("passkey-options").textContent);
  const publicKey = asked(options);
  return isMade
    ? navigator.credentials.create({ publicKey })
    : navigator.credentials.get({ publicKey });
}

/** What went wrong, and what to do: the names of errors are those of the standard. */
function trouble({ name }) {
  if (name === "InvalidStateError") {
    return say("This device has a passkey of this account already. Choose another device.");
  }
  if (name === "SecurityError") {
    return say("The browser refuses passkeys at this address. Open the server by its usual name.");
  }
  if (name === "NotSupportedError") {
    return say("This device cannot make such a passkey. Choose another one.");
  }
  return isMade
    ? say("No passkey was made: it was cancelled, or took too long. Try once more.")
    : say(
        "No passkey came: it was cancelled, took too long, or is not on this device. Try once more, or type a code.",
      );
}

function tell(sentence) {
  find("passkey-trouble").textContent = sentence;
  find("passkey-trouble").hidden = !sentence;
}

/** Why this browser has none, or nothing. */
function missing() {
  if (!globalThis.isSecureContext) {
    return isMade
      ? say("Passkeys need https, and this page came without it. Set up an app instead.")
      : say("Passkeys need https, and this page came without it. Type a code.");
  }
  if (known && navigator.credentials) return "";
  return isMade
    ? say("This browser knows no passkeys. Use a newer one, or set up an app.")
    : say("This browser knows no passkeys. Use a newer one, or type a code.");
}

async function send(event) {
  event.preventDefault();
  const { submitter } = event;
  submitter.disabled = true;
  tell("");
  try {
    form.elements.answer.value = JSON.stringify(answer(await credential()));
    form.submit(); // not requestSubmit, which would ask again
  } catch (error) {
    tell(trouble(error));
    submitter.disabled = false;
  }
}

tell(missing());
find("passkey-button").hidden = Boolean(missing());
form.addEventListener("submit", send);
