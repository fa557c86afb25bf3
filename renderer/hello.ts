import { bridge, earsOrigin } from './bridge-browser.ts';

const root = document.getElementById('root');
void bridge()
  .ask('app.info', null)
  .then((answer) => {
    if (root !== null) root.textContent = `Stepcaller ${JSON.stringify(answer)} ears at ${earsOrigin()}`;
  });
