"""The virtual bench: a sealed system from a file, really solved in every line-up."""

from hvacr_lab.bench.bench_file import bench_names, load_bench, new_bench_text
from hvacr_lab.bench.description import Bench, Configuration
from hvacr_lab.bench.rescaling import with_refrigerant

__all__ = ["Bench", "Configuration", "bench_names", "load_bench", "new_bench_text", "with_refrigerant"]
