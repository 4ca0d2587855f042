// Runs beside the page that is one file: takes a question, lets the compiled science answer it, gives
// the answer back. What the two say to each other is in crates/plumbfold-wasm.

let ready = null;

onmessage = ({ data }) => {
  if (data.module) ready = WebAssembly.instantiate(data.module, {});
  // A mistake in the science leaves it in no state to go on in: the page ends this worker.
  else answer(data).catch((error) => postMessage({ failed: error.message }));
};

async function answer({ path, body }) {
  const science = (await ready).exports;
  const head = new TextEncoder().encode(`${path}\n`);
  const at = science.room(head.length + body.length);
  const room = new Uint8Array(science.memory.buffer, at, head.length + body.length);
  room.set(head);
  room.set(body, head.length);
  const length = science.ask();
  const whole = new Uint8Array(science.memory.buffer, science.answer(), length);
  const end = whole.indexOf(10);
  const [, status, mime] = /^(\d+) (.*)$/.exec(new TextDecoder().decode(whole.subarray(0, end)));
  const content = whole.slice(end + 1);
  postMessage({ status: Number(status), mime, body: content }, [content.buffer]);
}
