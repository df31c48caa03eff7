/**
 * What is answered without encryption: the way to https, and, where the site has an authority of its own, that authority's
 * certificate with how to trust it. Nothing of a run, no sign-in, no cookie.
 */
import { X509Certificate, createHash } from 'node:crypto';
import type { RequestListener } from 'node:http';
import { hostOf, ownHost } from '../routes/guards.ts';

/** Where the authority's certificate is fetched. */
export const AUTHORITY_PATH = '/authority.crt';

const escaped = (text: string): string => text.replace(/[&<>"']/g, (letter) => `&#${letter.charCodeAt(0)};`);

const STYLE = `body{font:1.1rem/1.5 system-ui,sans-serif;max-width:42rem;margin:0 auto;padding:1.25rem;background:#fbfdfc;color:#10201f}
a{color:#0b5f5a}a.go{display:inline-block;padding:.8rem 1.2rem;border:2px solid #0b5f5a;border-radius:.5rem;font-weight:700}
h1{font-size:1.6rem;line-height:1.2}h2{font-size:1.15rem;margin-bottom:.2rem}code{overflow-wrap:anywhere}
.mark{border:2px dashed #8a4b00;padding:.5rem .75rem}
@media(prefers-color-scheme:dark){body{background:#0d1716;color:#e8f1ef}a{color:#7fd6cc}a.go{border-color:#7fd6cc}.mark{border-color:#e0a458}}`;

/** Goes on by itself where the device trusts the authority already. */
const SCRIPT = `const on=document.querySelector('a.on');fetch(new URL('/api/health',on.href),{mode:'no-cors',cache:'no-store'}).then(()=>location.replace(on.href),()=>{});`;

const hashOf = (text: string): string => `'sha256-${createHash('sha256').update(text).digest('base64')}'`;

const POLICY = [
  "default-src 'none'",
  `style-src ${hashOf(STYLE)}`,
  `script-src ${hashOf(SCRIPT)}`,
  'connect-src https:',
  "base-uri 'none'",
  "frame-ancestors 'none'",
].join('; ');

const page = (onward: string, fingerprint: string): string => `<!doctype html>
<html lang="en-GB"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width,initial-scale=1">
<title>Trust this site · Breathline</title><style>${STYLE}</style></head><body>
<p class="mark"><strong>SIMULATION – NOT FOR CLINICAL USE.</strong> Training only.</p>
<h1>Once on this device: trust this site’s certificate</h1>
<p>Then the screen stays awake, the monitor can be installed as an app, and nobody on the network can read along. The certificate can vouch for this server and for private networks only.</p>
<p><a class="go" href="${AUTHORITY_PATH}" download="breathline-authority.crt">1. Fetch the certificate</a></p>
<p>2. Trust it:</p>
<h2>Tablet or phone with iPadOS or iOS</h2>
<p>Allow the download. Settings → General → VPN &amp; Device Management → the profile named Breathline → Install. Then Settings → General → About → Certificate Trust Settings → switch it on.</p>
<h2>Tablet or phone with Android</h2>
<p>Settings → search “CA certificate” → Install anyway → choose the file. Use a browser that follows the system’s certificates.</p>
<h2>Laptop with Windows</h2>
<p>Open the file → Install Certificate → Current User → Place in: Trusted Root Certification Authorities.</p>
<h2>Laptop with macOS</h2>
<p>Open the file; it goes to Keychain Access. Open it there → Trust → Always Trust.</p>
<h2>Laptop with Linux, or a browser with its own list</h2>
<p>Browser settings → search “certificates” → Authorities → Import → trust for websites.</p>
<p>3. <a class="go on" href="${escaped(onward)}">Go on to Breathline</a></p>
<p>Compare, before you trust it, with what <code>npm run certificate</code> printed (SHA-256):<br><code>${escaped(fingerprint)}</code></p>
<p>Take it off the device again when it is no longer used for drills. Menus differ from one version to the next.</p>
<script>${SCRIPT}</script></body></html>`;

/** Answers plain requests. `authority`: PEM of the site's own, null where the certificate comes from elsewhere. */
export const plainAnswers = (authority: string | null, extraHosts: readonly string[]): RequestListener => {
  const parsed = authority === null ? null : new X509Certificate(authority);
  return (request, response) => {
    const { host: header } = request.headers;
    const host = hostOf(header);
    response.setHeader('x-content-type-options', 'nosniff');
    response.setHeader('cache-control', 'no-store');
    response.setHeader('content-security-policy', POLICY);
    if (header === undefined || host === null || !ownHost(host, extraHosts)) {
      response
        .writeHead(403, { 'content-type': 'text/plain; charset=utf-8' })
        .end('This server does not answer to that name.\n');
      return;
    }
    const onward = new URL(`https://${header}`);
    [onward.pathname = '/', onward.search = ''] = (request.url ?? '/').startsWith('/')
      ? (request.url ?? '/').split(/(?=\?)/)
      : ['/'];
    const readOnly = request.method === 'GET' || request.method === 'HEAD';
    if (parsed !== null && readOnly && onward.pathname === AUTHORITY_PATH) {
      response.writeHead(200, { 'content-type': 'application/x-x509-ca-cert' }).end(parsed.raw);
    } else if (parsed !== null && readOnly && !onward.pathname.startsWith('/api')) {
      response
        .writeHead(200, { 'content-type': 'text/html; charset=utf-8' })
        .end(page(onward.href, parsed.fingerprint256));
    } else {
      response.writeHead(readOnly ? 308 : 403, readOnly ? { location: onward.href } : {}).end('Use https.\n');
    }
  };
};
