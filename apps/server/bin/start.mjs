/**
 * `npm start`: from a fresh clone, or from yesterday, to a running server. Installs, generates, builds and migrates what is
 * missing, serves, and says where. Only Node's own modules at the top: nothing else may be installed yet.
 */
import { createServer } from 'node:net';
import { CannotGoOn, buildServer, buildWeb, checkNode, dataFolder, generate, install, migrate } from './steps.mjs';

const say = (line) => console.log(line);

/** Asks for the port before a minute is spent building. */
const checkPort = async (host, port) => {
  if (port === 0) return;
  const refused = await new Promise((resolve) => {
    const probe = createServer();
    probe.once('error', (error) => resolve(error.code));
    probe.listen({ host, port }, () => probe.close(() => resolve(null)));
  });
  if (refused === null) return;
  if (refused === 'EADDRINUSE') {
    throw new CannotGoOn(
      `Port ${port} is taken by another program. Stop it, or choose another: PORT=${port + 1} npm start`,
    );
  }
  if (refused === 'EACCES')
    throw new CannotGoOn(`This user may not open port ${port}. Choose one above 1023: PORT=4600 npm start`);
  throw new CannotGoOn(`The server can not listen on ${host}, port ${port} (${refused}). Check HOST and PORT.`);
};

const main = async () => {
  checkNode(say);
  const host = process.env.HOST || '127.0.0.1';
  const port = process.env.PORT === undefined || process.env.PORT === '' ? 4600 : Number(process.env.PORT);
  if (!Number.isInteger(port) || port < 0 || port > 65_535) {
    throw new CannotGoOn(`PORT is "${process.env.PORT}": expected a whole number from 0 to 65535, such as 4600.`);
  }
  const folder = dataFolder();
  await checkPort(host, port);
  install(say);
  generate(say);
  await buildServer(say);
  if (process.env.BREATHLINE_API_ONLY !== '1') buildWeb(say);
  await migrate(say, folder);

  const { ConfigError, DatabaseError, serve } = await import('../dist/server.mjs');
  let served;
  try {
    served = await serve(process.env, { renewPassphrase: process.argv.includes('--new-passphrase') });
  } catch (error) {
    if (error instanceof ConfigError || error instanceof DatabaseError) throw new CannotGoOn(error.message);
    if (error.code === 'EADDRINUSE')
      throw new CannotGoOn(`Port ${port} is taken by another program. Choose another: PORT=${port + 1} npm start`);
    throw error;
  }

  say('');
  say('Breathline: SIMULATION – NOT FOR CLINICAL USE. Training only; local guidelines and licensed practice prevail.');
  const [first] = served.addresses;
  for (const address of served.addresses) {
    const here = ['127.0.0.1', '[::1]'].includes(new URL(address).hostname);
    say(`Open ${address}${here ? ' (on this machine only)' : ''}`);
  }
  if (served.ownCertificate) {
    say(
      `A device that warns of the certificate: open ${first.replace('https:', 'http:')} on it once, and follow the page.`,
    );
  } else if (!served.alone && first.startsWith('http:')) {
    say('Over plain http other devices keep no screen awake and install nothing. For https: npm run certificate');
  }
  if (served.alone) say('For tablets and other devices on this network: HOST=0.0.0.0 npm start');
  else if (served.addresses.length < 2)
    say('This machine is on no network now: join one, and other devices can open its address.');
  if (served.app.newPassphrase !== null) {
    say('');
    say(`Faculty passphrase (shown this once, write it down): ${served.app.newPassphrase}`);
    say('Lost it? npm start -- --new-passphrase');
  }
  say('');
  say('Stop with Ctrl-C; running scenarios are kept and come back paused.');

  let stopping = false;
  const stop = async () => {
    if (stopping) process.exit(1);
    stopping = true;
    await served.app.close();
    process.exit(0);
  };
  process.on('SIGINT', stop);
  process.on('SIGTERM', stop);
};

main().catch((error) => {
  console.error(error instanceof CannotGoOn ? `\n${error.message}\n` : error);
  process.exit(1);
});
