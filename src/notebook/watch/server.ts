import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http'
import type { AddressInfo } from 'node:net'
import { UserError } from '../../errors.ts'
import { SHELL_POLICY, shellHtml } from './shell.ts'

const LOOPBACK = '127.0.0.1'

/** What the reader of a watched page sees. */
export interface Watched {
  /** The last page that came out whole. */
  readonly html: string
  /** Counts the pages that came out. */
  readonly version: number
  /** What is happening, in a line. */
  readonly says: string
  /** What went wrong, or empty. */
  readonly error: string
}

const HEADERS = {
  'Cache-Control': 'no-store',
  'X-Content-Type-Options': 'nosniff',
  'Cross-Origin-Resource-Policy': 'same-origin',
  'Referrer-Policy': 'no-referrer',
}

/** Serves a watched page to this machine alone, and tells it of every change. */
export class WatchServer {
  private readonly server: Server
  private readonly listeners = new Set<ServerResponse>()
  private readonly name: string
  private watched: Watched = { html: '', version: 0, says: 'Running for the first time', error: '' }

  constructor(name: string) {
    this.name = name
    this.server = createServer((request, response) => this.answer(request, response))
  }

  /** @throws UserError where the port is taken */
  async listen(port: number): Promise<string> {
    await new Promise<void>((done, reject) => {
      this.server.once('error', (cause: NodeJS.ErrnoException) =>
        reject(
          new UserError(
            `Cannot listen on port ${port} of this machine: ${cause.message}. Choose another --port.`,
            {
              exitCode: 2,
              cause,
            },
          ),
        ),
      )
      this.server.listen(port, LOOPBACK, done)
    })
    return `http://${LOOPBACK}:${this.port}/`
  }

  private get port(): number {
    return (this.server.address() as AddressInfo).port
  }

  /** Shows what has changed to everyone who looks. */
  tell(change: Partial<Watched>): void {
    this.watched = { ...this.watched, ...change }
    for (const listener of this.listeners) listener.write(this.event())
  }

  close(): void {
    for (const listener of this.listeners) listener.end()
    this.listeners.clear()
    this.server.close()
    this.server.closeAllConnections()
  }

  private event(): string {
    const { version, says, error } = this.watched
    return `data: ${JSON.stringify({ version, says, error })}\n\n`
  }

  private answer(request: IncomingMessage, response: ServerResponse): void {
    // A name that someone else's page points at this machine is not ours (DNS rebinding).
    const ours = [`${LOOPBACK}:${this.port}`, `localhost:${this.port}`]
    if (!ours.includes(request.headers.host ?? '') || request.method !== 'GET') {
      response.writeHead(403, HEADERS).end('This page is for this machine only.\n')
      return
    }
    const path = (request.url ?? '/').split('?')[0]
    if (path === '/events') this.subscribe(response)
    else if (path === '/') html(response, shellHtml(this.name), SHELL_POLICY)
    else if (path === '/page') html(response, this.watched.html, "frame-ancestors 'self'")
    else response.writeHead(404, HEADERS).end('There is nothing here.\n')
  }

  private subscribe(response: ServerResponse): void {
    response.writeHead(200, { ...HEADERS, 'Content-Type': 'text/event-stream' })
    response.write(this.event())
    this.listeners.add(response)
    response.once('close', () => this.listeners.delete(response))
  }
}

function html(response: ServerResponse, text: string, policy: string): void {
  response
    .writeHead(200, {
      ...HEADERS,
      'Content-Type': 'text/html; charset=utf-8',
      'Content-Security-Policy': policy,
    })
    .end(text)
}
