"""https in front of the server: takes the encryption off and passes the bytes on. Each connection
is a coroutine, so a phone that stalls in the middle holds nobody up."""

import asyncio
import contextlib
import signal
import ssl
import threading
from collections import Counter

CHUNK = 65_536
# of one address as in `doorkeeper.Limits`; in all, each of which is two files, beyond what a class
# needs: then somebody does it on purpose, and files run out
MOST_OF_ONE_ADDRESS, MOST_CONNECTIONS = 200, 400
LAST_BYTES_S = 0.5
CIPHERS = "ECDHE+AESGCM:ECDHE+CHACHA20"  # of TLS 1.2; those of 1.3 are all of this kind
HANDSHAKE_S = 20  # a weak signal may take its time; a phone that goes away must not stay for ever


async def _pour(reader, writer):
    with contextlib.suppress(OSError):  # either end may go away at any time
        while data := await reader.read(CHUNK):
            writer.write(data)
            await writer.drain()
    writer.close()


def _from(peer):
    """A loopback address that stands for a phone's (IPv4), so that what is passed on still comes
    from as many addresses as there are phones.

    >>> _from("192.168.4.17")
    '127.168.4.17'
    """
    return f"127.{peer.partition('.')[2]}"


async def _connected(inner, peer):
    try:
        return await asyncio.open_connection(*inner, local_addr=(_from(peer), 0))
    except OSError:  # a system that has no loopback address but 127.0.0.1
        return await asyncio.open_connection(*inner)


async def _pass_on(inner, reader, writer):
    try:
        peer, *_port = writer.get_extra_info("peername")
        inner_reader, inner_writer = await _connected(inner, peer)
    except OSError:
        writer.close()
        return
    await asyncio.gather(_pour(reader, inner_writer), _pour(inner_reader, writer))


async def _serve(listening, context, inner):
    """Accept by hand, so that connections are counted before they have shaken hands."""
    loop, places = asyncio.get_running_loop(), asyncio.Semaphore(MOST_CONNECTIONS)
    held = Counter()
    listening.setblocking(False)

    async def take(connection, address):
        try:
            reader = asyncio.StreamReader()
            protocol = asyncio.StreamReaderProtocol(reader)
            transport, _ = await loop.connect_accepted_socket(
                lambda: protocol, connection, ssl=context, ssl_handshake_timeout=HANDSHAKE_S
            )
            await _pass_on(inner, reader, asyncio.StreamWriter(transport, protocol, reader, loop))
        except (TimeoutError, OSError):
            connection.close()  # no handshake, or a phone that went away
        finally:
            places.release()
            held[address] -= 1

    going = set()

    async def accept():
        while True:
            await places.acquire()
            connection, (address, *_port) = await loop.sock_accept(listening)
            if held[address] >= MOST_OF_ONE_ADDRESS:
                connection.close()
                places.release()
                continue
            held[address] += 1
            task = loop.create_task(take(connection, address))
            going.add(task)
            task.add_done_callback(going.discard)

    accepting = loop.create_task(accept())
    if threading.current_thread() is threading.main_thread():
        loop.add_signal_handler(signal.SIGTERM, accepting.cancel)
    with contextlib.suppress(asyncio.CancelledError):
        await accepting
    if going:  # who answers has ended before: what is left is on its way
        await asyncio.wait(going, timeout=LAST_BYTES_S)


def pass_on(listening, certificate, key, inner):
    """Take encrypted connections on a listening socket and pass them on to the `inner` (host,
    port), until told to end (SIGTERM).
    """
    asyncio.run(_serve(listening, encrypting(certificate, key), inner))


def encrypting(certificate, key):
    """How connections are encrypted: TLS 1.2 and 1.3, with keys that are made for each of them and
    ciphers that notice what was changed on the way (RFC 9325, 3.1 and 4.2), whatever the machine
    would allow.
    """
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    context.set_ciphers(CIPHERS)
    context.load_cert_chain(certificate, key)
    return context
