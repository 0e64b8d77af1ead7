// The front of packet/: what other rooms may import of it. In and out: see each name’s own file.

export { parsePacket, parsePacketText } from './packet.js';
