/**
 * The script of the page that goes to a mentor: takes the decision, signs it with the mentor's key, and saves the
 * answer as a file. It runs from the saved page alone: it loads nothing and sends nothing.
 */
const textOf = (id) => document.getElementById(id).textContent;
const review = JSON.parse(textOf("review-data"));
const words = JSON.parse(textOf("words-data"));
const form = document.getElementById("answer");
const told = document.getElementById("told");

const PKCS8_ED25519 = [48, 46, 2, 1, 0, 48, 5, 6, 3, 43, 101, 112, 4, 34, 4, 32];

function bytesOf(base64url) {
  const text = atob(base64url.replaceAll("-", "+").replaceAll("_", "/"));
  return Uint8Array.from(text, (letter) => letter.charCodeAt(0));
}

function base64urlOf(bytes) {
  const text = btoa(String.fromCharCode(...bytes));
  return text.replaceAll("+", "-").replaceAll("/", "_").replace(/=+$/, "");
}

function decision() {
  const comments = [...form.querySelectorAll("textarea")]
    .map(({ value, dataset }) => ({ at: dataset.at === "" ? null : dataset.at, text: value.trim() }))
    .filter(({ text }) => text !== "");
  const reference = form.elements.namedItem("reference").value.trim();
  // Keys in the order of the alphabet: what is signed is the canonical text.
  return {
    comments,
    reference: reference === "" ? null : reference,
    step: form.elements.namedItem("step").value,
  };
}

async function signed(answer, id, seed) {
  const format = words.format;
  const text = JSON.stringify({ answer, contentHash: review.contentHash, format, mentor: id });
  const key = await crypto.subtle.importKey(
    "pkcs8",
    Uint8Array.from([...PKCS8_ED25519, ...seed]),
    { name: "Ed25519" },
    false,
    ["sign"],
  );
  const bytes = await crypto.subtle.sign({ name: "Ed25519" }, key, new TextEncoder().encode(text));
  const signature = base64urlOf(new Uint8Array(bytes));
  return { format, review, answer, mentor: id, signature };
}

function save(name, value) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([JSON.stringify(value, null, 2)], { type: "application/json" }));
  link.download = name;
  link.click();
  URL.revokeObjectURL(link.href);
}

form.addEventListener("submit", async (event) => {
  event.preventDefault();
  const answer = decision();
  const field = form.elements.namedItem("key");
  const [, id, secret] = /^([a-z2-7]{10})\.([A-Za-z0-9_-]{43})$/.exec(field.value.trim()) ?? [];
  if (answer.step === "") told.textContent = words.noChoice;
  else if (answer.step === "return" && answer.comments.length === 0) told.textContent = words.noComment;
  else if (id === undefined) told.textContent = words.badKey;
  else {
    try {
      save(`answer-${review.rule}-${review.revision}.json`, await signed(answer, id, bytesOf(secret)));
      field.value = "";
      told.textContent = words.savedAs;
    } catch {
      told.textContent = words.noSigning;
    }
  }
});
