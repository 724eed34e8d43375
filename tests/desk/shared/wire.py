"""A wire between browser and desk that can be cut, as a telephone loses its network."""

import socket
import threading


class Wire:
    """Passes bytes on; `cut_after` bytes towards the desk it goes dead until `mend`."""

    def __init__(self, port):
        self.target = port
        self.left = None
        self.dead = False
        self.passed = 0
        self.open = []
        self.listener = socket.create_server(("127.0.0.1", 0))
        self.port = self.listener.getsockname()[1]
        threading.Thread(target=self._accept, daemon=True).start()

    def cut_after(self, count):
        self.left = count

    def cut(self):
        self.dead = True
        for end in self.open:
            try:
                end.shutdown(socket.SHUT_RDWR)
            except OSError:
                pass
            end.close()
        self.open.clear()

    def mend(self):
        self.left = None
        self.dead = False

    def _accept(self):
        while True:
            near, _ = self.listener.accept()
            if self.dead:
                near.close()
                continue
            far = socket.create_connection(("127.0.0.1", self.target))
            self.open += [near, far]
            threading.Thread(target=self._pump, args=(near, far, True), daemon=True).start()
            threading.Thread(target=self._pump, args=(far, near, False), daemon=True).start()

    def _pump(self, source, sink, towards_desk):
        try:
            while data := source.recv(16384):
                if towards_desk:
                    self.passed += len(data)
                    if self.left is not None:
                        self.left -= len(data)
                        if self.left <= 0:
                            self.cut()
                            return
                sink.sendall(data)
        except OSError:
            pass
        finally:
            for end in (source, sink):
                try:
                    end.shutdown(socket.SHUT_RDWR)
                except OSError:
                    pass
