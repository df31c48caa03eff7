/** `npm run build`: everything that has to be made from the sources, when they have changed. */
import { CannotGoOn, buildServer, buildWeb, checkNode, generate, install } from './steps.mjs';

const say = (line) => console.log(line);

try {
  checkNode(say);
  install(say);
  generate(say);
  await buildServer(say);
  if (!process.argv.includes('--server')) buildWeb(say);
} catch (error) {
  console.error(error instanceof CannotGoOn ? `\n${error.message}\n` : error);
  process.exit(1);
}
