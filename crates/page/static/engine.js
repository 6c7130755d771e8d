"use strict";
// The module that solves: a desk takes a request as JSON and gives its answer. Runs beside the form and in the worker alike.

async function openDesk(module, hear) {
  const decoder = new TextDecoder(), encoder = new TextEncoder();
  let own = null, fault = "";
  const text = (start, length) => decoder.decode(new Uint8Array(own.memory.buffer, start, length));
  const page = {
    hear(start, length) {
      const news = JSON.parse(text(start, length));
      fault = news.fault ?? fault;
      if (!news.fault) hear(news);
    },
  };
  own = (await WebAssembly.instantiate(module, { page })).exports;
  const write = (...parts) => {
    const length = parts.reduce((sum, part) => sum + part.length, 0);
    let at = own.hoopwright_room(length);
    for (const part of parts) {
      new Uint8Array(own.memory.buffer, at, part.length).set(part);
      at += part.length;
    }
  };
  return {
    // Throws where the module itself fails; such a desk is of no more use.
    ask(request) {
      write(encoder.encode(JSON.stringify(request)));
      try {
        const length = own.hoopwright_ask();
        return JSON.parse(text(own.hoopwright_answer(), length));
      } catch (error) {
        throw new Error(fault || String(error));
      }
    },
    attach(name, bytes) {
      const first = encoder.encode(name);
      write(first, bytes);
      own.hoopwright_attach(first.length);
    },
  };
}
