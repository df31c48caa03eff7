/**
 * https and plain http on one port: people type an address without its "https://", and a device that does not trust the
 * site's authority yet has to fetch it somewhere. A connection that begins as TLS does goes one way, any other the other.
 */
import { createServer as createPlain, type RequestListener } from 'node:http';
import { createServer, type Server } from 'node:https';
import type { Socket } from 'node:net';
import type { Tls } from './read.ts';

/** First byte of a TLS handshake (RFC 8446, 5.1: content type 22). */
const HANDSHAKE = 22;
/** A connection that says nothing for so long is closed. */
const SILENT_MS = 15_000;

/** An https server that hands plain requests to `plain`. Nothing but `plain` is ever answered without encryption. */
export const createOnePort = (
  { cert, key }: Pick<Tls, 'cert' | 'key'>,
  secure: RequestListener,
  plain: RequestListener,
): Server => {
  const server = createServer({ cert, key, minVersion: 'TLSv1.2', handshakeTimeout: SILENT_MS }, secure);
  const other = createPlain({ requestTimeout: SILENT_MS, headersTimeout: SILENT_MS }, (request, response) => {
    response.setHeader('connection', 'close');
    plain(request, response);
  });
  /** Connections that are not encrypted yet, or never will be: they are cut when the server closes. */
  const bare = new Map<string, Socket>();
  const keyOf = ({ remoteAddress, remotePort }: Socket) => `${remoteAddress} ${remotePort}`;
  server.on('secureConnection', (socket: Socket) => bare.delete(keyOf(socket)));
  const handshakes = server.listeners('connection') as ((this: Server, socket: Socket) => void)[];
  server.removeAllListeners('connection');
  server.on('connection', (socket: Socket) => {
    const giveUp = () => socket.destroy();
    socket.setTimeout(SILENT_MS, giveUp);
    socket.on('error', giveUp);
    const key = keyOf(socket);
    bare.set(key, socket);
    socket.once('close', () => bare.get(key) === socket && bare.delete(key));
    socket.once('data', (first: Buffer) => {
      socket.pause();
      socket.unshift(first);
      if (first[0] === HANDSHAKE) {
        socket.setTimeout(0);
        socket.off('timeout', giveUp);
        for (const handshake of handshakes) handshake.call(server, socket);
      } else {
        other.emit('connection', socket);
      }
      process.nextTick(() => socket.resume());
    });
  });
  // A server is closed when nobody is connected any more.
  const close = server.close.bind(server);
  server.close = (done) => {
    for (const socket of bare.values()) socket.destroy();
    return close(done);
  };
  return server;
};
