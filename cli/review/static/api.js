// The calls to the program. Three ways to fail: the program is away, it refuses, it cannot.

export class Away extends Error {}

export class Refused extends Error {
  constructor(status, body) {
    super(body?.message ?? "The program refused this without saying why.");
    this.status = status;
    this.body = body;
  }
}

async function call(method, path, body) {
  let answer;
  try {
    answer = await fetch(path, {
      method,
      cache: "no-store",
      credentials: "same-origin",
      headers: body === undefined ? {} : { "Content-Type": "application/json" },
      body: body === undefined ? undefined : JSON.stringify(body),
    });
  } catch {
    throw new Away("The program does not answer; it may have been closed.");
  }
  let data = null;
  try {
    data = await answer.json();
  } catch {
    if (answer.ok) throw new Away("The program's answer broke off.");
  }
  if (!answer.ok) throw new Refused(answer.status, data);
  return data;
}

// Addresses are relative: the folder of the page is the session's own.
const at = (id, rest = "") => `api/records/${encodeURIComponent(id)}${rest}`;

export const setup = () => call("GET", "api/setup");
export const records = () => call("GET", "api/records");
export const open = (id) => call("GET", at(id));
export const suggestions = (id) => call("GET", at(id, "/suggestions"));
export const history = (id) => call("GET", at(id, "/history"));
export const write = (id, what, body) => call("POST", at(id, `/${what}`), body);
export const exportAddress = (id, format) => at(id, `/export/${format}`);
export const clipAddress = (id, start, end) =>
  at(id, `/clip?start_s=${encodeURIComponent(start)}&end_s=${encodeURIComponent(end)}`);
export const clipFault = (address) => call("GET", address);

// Fetched before it is handed to the browser, so that a refusal can be told in words.
export async function download(id, format) {
  let answer;
  try {
    answer = await fetch(exportAddress(id, format), { cache: "no-store", credentials: "same-origin" });
  } catch {
    throw new Away("The program does not answer; it may have been closed.");
  }
  if (!answer.ok) throw new Refused(answer.status, await answer.json().catch(() => null));
  const name = /filename="([^"]+)"/.exec(answer.headers.get("content-disposition") ?? "")?.[1];
  return { name: name ?? `record.${format}`, content: await answer.blob() };
}
