// The worker: one desk that answers in turn. It is stopped by ending it.

let desk = null;
onmessage = async ({ data }) => {
  if (data.module) {
    desk = openDesk(data.module, (news) => postMessage({ news })).then((open) => {
      for (const [name, bytes] of data.files) open.attach(name, bytes);
      return open;
    });
    return;
  }
  try {
    postMessage({ id: data.id, answer: (await desk).ask(data.request) });
  } catch (error) {
    postMessage({ id: data.id, answer: { error: error.message, broken: true } });
  }
};
