"""https in front of the server: takes the encryption off and passes the bytes on. Each connection is a coroutine, so a phone that stalls
in the middle holds nobody up."""
import asyncio
import contextlib
import ssl

CHUNK = 65_536
HANDSHAKE_S = 20  # a weak signal may take its time; a phone that goes away must not stay for ever


async def _pour(reader, writer):
    with contextlib.suppress(OSError):  # either end may go away at any time
        while data := await reader.read(CHUNK):
            writer.write(data)
            await writer.drain()
    writer.close()


async def _pass_on(inner, reader, writer):
    try:
        inner_reader, inner_writer = await asyncio.open_connection(*inner)
    except OSError:
        writer.close()
        return
    await asyncio.gather(_pour(reader, inner_writer), _pour(inner_reader, writer))


async def _serve(listening, context, inner):
    server = await asyncio.start_server(lambda reader, writer: _pass_on(inner, reader, writer), sock=listening, ssl=context, ssl_handshake_timeout=HANDSHAKE_S)
    async with server:
        await server.serve_forever()


def pass_on(listening, certificate, key, inner):
    """Take encrypted connections on a listening socket and pass them on to the `inner` (host, port), until interrupted."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(certificate, key)
    asyncio.run(_serve(listening, context, inner))
