"""An S3-compatible store on this machine: the PyPI package moto's server. It knows what such a store
answers, and keeps everything in this process' memory, also while nobody listens at its port."""

import boto3
import httpx
from moto.server import ThreadedMotoServer

KEYS = {"AWS_ACCESS_KEY_ID": "invented", "AWS_SECRET_ACCESS_KEY": "invented", "AWS_REGION": "us-east-1"}


class Bucket:
    name = "originals"

    def __init__(self):
        self.server = ThreadedMotoServer(ip_address="127.0.0.1", port=0)
        self.server.start()
        host, self.port = self.server.get_host_and_port()
        endpoint = f"http://{host}:{self.port}"
        self.client = boto3.client(
            "s3",
            endpoint_url=endpoint,
            region_name=KEYS["AWS_REGION"],
            aws_access_key_id=KEYS["AWS_ACCESS_KEY_ID"],
            aws_secret_access_key=KEYS["AWS_SECRET_ACCESS_KEY"],
        )
        # What another test left in this process.
        httpx.post(f"{endpoint}/moto-api/reset").raise_for_status()
        self.client.create_bucket(Bucket=self.name)
        self.environment = KEYS | {"AWS_ENDPOINT": endpoint, "AWS_ALLOW_HTTP": "true"}
        self.address = f"s3://{self.name}/club"

    def go_away(self):
        """Nobody listens any more; what is kept stays."""
        self.server.stop()
        self.server = None

    def come_back(self):
        self.server = ThreadedMotoServer(ip_address="127.0.0.1", port=self.port)
        self.server.start()

    def held(self):
        """Every object, by its name: its bytes."""
        listed = self.client.list_objects_v2(Bucket=self.name).get("Contents", [])
        get = lambda key: self.client.get_object(Bucket=self.name, Key=key)["Body"].read()
        return {entry["Key"]: get(entry["Key"]) for entry in listed}

    def unfinished(self):
        """Uploads in several parts that nobody ended."""
        return self.client.list_multipart_uploads(Bucket=self.name).get("Uploads", [])

    def stop(self):
        if self.server:
            self.server.stop()
