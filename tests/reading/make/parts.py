"""What the makers of the corpus have in common: where files go, the four columns, invented addresses, supply numbers."""
import pathlib

FOLDER = pathlib.Path(__file__).resolve().parents[2] / "corpus" / "troubles"
FOUR = ["Address", "Main fuse (A)", "Max demand (A)", "Distance to parking (m)"]


def address(number, street="Fennel Row"):
    """An invented address; no postcode area begins with QX."""
    return f"{number} {street}, Tarnholt, QX4 7LP"


def site(number, fuse=80, demand=35, distance=12, *more):
    """A row of the four columns and whatever follows them."""
    return [address(number), fuse, demand, distance, *more]


def supply_number(distributor, twelve):
    """Thirteen digits of which the last is the check digit (memory: the primes 3 to 43 without 11, modulo 11, modulo 10)."""
    digits = f"{distributor:02d}{twelve:010d}"
    primes = [3, 5, 7, 13, 17, 19, 23, 29, 31, 37, 41, 43]
    return digits + str(sum(p * int(d) for p, d in zip(primes, digits)) % 11 % 10)


def put(name, data):
    FOLDER.mkdir(parents=True, exist_ok=True)
    (FOLDER / name).write_bytes(data)
