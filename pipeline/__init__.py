"""From sound to record: one module or folder a stage, one public function a stage."""
