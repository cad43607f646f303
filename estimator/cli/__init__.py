STOPPED = "Stopped. What was kept before is whole."
STOPPED_CODE = 130  # 128 and the number of the signal, as shells have it
