// Another person's PIN leaves this phone only locked with the desk's own key, and is kept on it in no other form.
const unhex = (text) => Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));

async function locked(pin, walk) {
  if (!crypto.subtle || !background.key) return "";
  const form = { name: "RSA-OAEP", hash: "SHA-256" };
  const key = await crypto.subtle.importKey("spki", unhex(background.key), form, false, ["encrypt"]);
  return base64(await crypto.subtle.encrypt(form, key, new TextEncoder().encode(`${walk} ${pin}`)));
}
