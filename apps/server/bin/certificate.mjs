/** `npm run certificate`: the site's own small authority and a certificate for this machine, and how to trust them. */
import { CannotGoOn, buildServer, checkNode, dataFolder, generate, install } from './steps.mjs';

const say = (line) => console.log(line);

const STEPS = `How to trust it, once on each device:

  Any device   open one of the plain addresses below and follow the page: it has the certificate, and the way for
               phones, tablets and laptops. Type the "http://".
  This laptop  open the file below and place it among the trusted root authorities (browsers with a list of their own:
               settings, certificates, authorities, import, trust for websites).`;

const main = async () => {
  checkNode(say);
  const folder = dataFolder();
  install(say);
  generate(say);
  await buildServer(say);
  const { ConfigError, certificateFor } = await import('../dist/server.mjs');
  let made;
  try {
    made = await certificateFor(process.env, { newAuthority: process.argv.includes('--new-authority') });
  } catch (error) {
    if (error instanceof ConfigError) throw new CannotGoOn(error.message);
    if (['EACCES', 'EROFS', 'ENOSPC', 'EPERM'].includes(error.code))
      throw new CannotGoOn(
        `The certificate can not be written to ${folder} (${error.code}). Give this user the right and the room to write there.`,
      );
    throw error;
  }
  say('');
  say(
    made.isNew
      ? 'A new authority and a certificate for this machine were made.'
      : 'The authority is as it was; this machine has a new certificate.',
  );
  say(`For: ${made.names.join(', ')}`);
  if (made.isNew) say('No device trusts the authority yet.');
  say(
    `It may vouch for ${made.scope.names.join(', ')} and for private networks only. Keep ${made.folder} to yourself all the same.`,
  );
  say('');
  say(STEPS);
  say('');
  for (const address of made.plain) say(`  ${address}`);
  if (made.plain.length === 0) say('  (this machine is on no network now)');
  say(`  file: ${made.authorityFile}`);
  say('');
  say(`Compare on the device (SHA-256): ${made.fingerprint}`);
  say('');
  say('The next start uses it:  HOST=0.0.0.0 npm start');
  say('To serve without it again, move that folder away.');
};

main().catch((error) => {
  console.error(error instanceof CannotGoOn ? `\n${error.message}\n` : error);
  process.exit(1);
});
