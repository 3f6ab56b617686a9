// Shows a document again after each build, where it was scrolled to. Texts are put in as text.
const page = document.getElementById("page");
let last = null;

function show(told) {
  const words = document.getElementById("words");
  words.textContent = told.words;
  words.className = told.words === "built" ? "" : "bad";
  document.getElementById("faults").replaceChildren(...told.faults.map((text) => {
    const item = document.createElement("li");
    item.textContent = text;
    return item;
  }));
  if (last !== null && told.build !== last && told.words === "built") again();
  last = told.build;
}

function again() {
  const at = page.contentWindow.scrollY;
  page.addEventListener("load", () => page.contentWindow.scrollTo(0, at), { once: true });
  page.contentWindow.location.reload();
}

const source = new EventSource("/events");
source.addEventListener("state", (event) => show(JSON.parse(event.data)));
source.addEventListener("error", () => {
  const words = document.getElementById("words");
  words.textContent = "no longer watching";
  words.className = "bad";
});
