"""Every test runs on SQLite and on a PostgreSQL of its own, unless it says that one is enough."""

import pytest

# The path to what is shared comes with the desk.
from desk import Desk
from cluster import Cluster, at_server, new_base


@pytest.fixture(scope="session")
def cluster():
    """The address of a private server without the database's name."""
    cluster = Cluster()
    yield cluster.start()
    cluster.stop()


@pytest.fixture(params=["sqlite", "postgres"])
def base(request, tmp_path):
    """A database that nobody has used: `None` for SQLite, else an address."""
    if request.param == "sqlite":
        yield None
        return
    cluster = request.getfixturevalue("cluster")
    name = "d" + "".join(c for c in tmp_path.name.lower() if c.isalnum())[-50:]
    yield new_base(cluster, name)
    # Sixty of them at the end would take a disk half a minute.
    at_server(cluster, f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture
def desk_of(base, tmp_path):
    """Makes a desk on that database; it is stopped, in order, at the end."""
    made = []

    def make(*extra, name="club"):
        desk = Desk(tmp_path / name, base, *extra)
        made.append(desk)
        return desk.start()

    yield make
    for desk in made:
        desk.stop()


@pytest.fixture
def desk(desk_of):
    desk = desk_of("--most-an-hour", "100000")
    desk.keeper = desk.set_up()
    return desk
