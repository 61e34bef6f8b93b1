// No signal in the shed: entries are kept on this phone and sent later, in order.
//
// <form method="post" data-offline="Picked: isolator"> may wait. Its hidden key makes the
// server count it once, however often it is sent. Files do not wait: they need a signal.
(() => {
  const { one, all, say } = window.fitout;
  const SHELF = "waiting";
  let sending = false;

  const read = () => {
    try {
      return JSON.parse(localStorage.getItem(SHELF) ?? "[]");
    } catch {
      return [];
    }
  };
  const write = (entries) => localStorage.setItem(SHELF, JSON.stringify(entries));

  const words = () => {
    const count = read().length;
    const kept = count === 0 ? "" : count === 1 ? "1 entry saved here" : `${count} entries saved here`;
    if (navigator.onLine) return kept && `Sending. ${kept}`;
    return kept ? `Offline. ${kept}` : "Offline";
  };
  const show = () => {
    const sign = one("#offline");
    if (!sign) return;
    sign.hidden = words() === "";
    one("[data-offline-words]", sign).textContent = words();
  };

  const keep = (form, submitter) => {
    const fields = new FormData(form, submitter);
    fields.delete("csrfmiddlewaretoken");
    const body = new URLSearchParams(fields).toString();
    const entries = read();
    entries.push({ action: form.action, body, label: form.dataset.offline, person: document.body.dataset.person ?? "" });
    write(entries);
    const button = submitter ?? one("button", form);
    if (button?.hasAttribute("aria-pressed")) {
      button.setAttribute("aria-pressed", String(button.getAttribute("aria-pressed") !== "true"));
    }
    delete form.dataset.touched;
    show();
  };

  // Runs before the page's own guard: what waits is not sent.
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (navigator.onLine || form.method.toLowerCase() !== "post") return;
    event.preventDefault();
    event.stopImmediatePropagation();
    if (!form.hasAttribute("data-offline")) {
      say("No signal. What you typed stays here; send it when the signal is back.", "warning");
      return;
    }
    try {
      keep(form, event.submitter);
    } catch {
      say("No signal, and this phone keeps nothing more. Write it down and enter it later.", "error");
    }
  }, true);

  const token = () => one("input[name=csrfmiddlewaretoken]")?.value ?? "";

  // In order; the first that gets no answer stops the rest until the next signal.
  const sendAll = async () => {
    if (sending || !navigator.onLine) return;
    sending = true;
    let sent = 0;
    const refused = [];
    try {
      for (let entry = read()[0]; entry; entry = read()[0]) {
        if (entry.person !== (document.body.dataset.person ?? "")) break;
        const body = new URLSearchParams(entry.body);
        body.set("csrfmiddlewaretoken", token());
        const answer = await fetch(entry.action, { method: "POST", body, credentials: "same-origin" });
        if (answer.status === 401 || answer.status === 503) break;
        write(read().slice(1));
        if (answer.ok) sent += 1;
        else refused.push(entry.label);
        show();
      }
    } catch {
      // Still no signal; they wait.
    } finally {
      sending = false;
      show();
    }
    if (refused.length) say(`Not accepted, enter again: ${refused.join("; ")}.`, "error");
    else if (sent && !all("form[data-touched='1']").length) location.reload();
  };

  addEventListener("online", sendAll);
  addEventListener("offline", show);
  show();
  sendAll();
})();
